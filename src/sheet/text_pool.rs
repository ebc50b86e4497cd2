//! Texts as numbers: equal texts have equal numbers, so a slot can hold one.

use std::collections::HashMap;

use crate::number::Number;

/// The texts of a sheet.
#[derive(Clone, Debug, Default)]
pub struct TextPool {
    texts: Vec<Box<str>>,
    places: HashMap<Box<str>, u32>,
}

impl TextPool {
    /// The number that stands for `text`.
    pub fn intern(&mut self, text: &str) -> Number {
        if let Some(place) = self.places.get(text) {
            return Number::from_integer(i64::from(*place));
        }
        let place = u32::try_from(self.texts.len()).unwrap_or(u32::MAX);
        self.texts.push(text.into());
        self.places.insert(text.into(), place);
        Number::from_integer(i64::from(place))
    }

    /// The number that stands for a text met before.
    pub fn number(&self, text: &str) -> Option<Number> {
        self.places
            .get(text)
            .map(|place| Number::from_integer(i64::from(*place)))
    }

    /// How many texts there are.
    pub fn count(&self) -> usize {
        self.texts.len()
    }

    /// The text that a number stands for.
    pub fn text(&self, number: Number) -> &str {
        let place = number.to_integer().and_then(|place| usize::try_from(place).ok());
        place.and_then(|place| self.texts.get(place)).map_or("", |text| text)
    }
}
