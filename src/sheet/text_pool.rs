//! Texts as numbers: equal texts have equal numbers, so a slot can hold one.

use std::collections::HashMap;
use std::sync::Arc;

use crate::number::Number;

/// The texts of a sheet; a copy shares them until it meets a new one.
#[derive(Clone, Debug, Default)]
pub struct TextPool {
    known: Arc<Known>,
}

#[derive(Clone, Debug, Default)]
struct Known {
    texts: Vec<Box<str>>,
    places: HashMap<Box<str>, u32>,
}

impl TextPool {
    /// The number that stands for `text`.
    pub(crate) fn intern(&mut self, text: &str) -> Number {
        if let Some(number) = self.number(text) {
            return number;
        }
        let known = Arc::make_mut(&mut self.known);
        let place = u32::try_from(known.texts.len()).unwrap_or(u32::MAX);
        known.texts.push(text.into());
        known.places.insert(text.into(), place);
        Number::from_integer(i64::from(place))
    }

    /// The number that stands for a text met before.
    pub fn number(&self, text: &str) -> Option<Number> {
        let place = self.known.places.get(text);
        place.map(|place| Number::from_integer(i64::from(*place)))
    }

    /// How many texts there are.
    pub fn count(&self) -> usize {
        self.known.texts.len()
    }

    /// The text that a number stands for.
    pub fn text(&self, number: Number) -> &str {
        let place = number.to_integer().and_then(|place| usize::try_from(place).ok());
        place
            .and_then(|place| self.known.texts.get(place))
            .map_or("", |text| text)
    }
}
