//! How a terminal is written to: its width, its letters, and whether it takes colour.
//!
//! The shell decides them; writers only ask. Tones say what a piece is, not
//! which colour it gets. Start reading at [`Style::paint`].

/// What the terminal can do.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Style {
    /// Whether to colour.
    pub colour: bool,
    /// The columns of the terminal.
    pub width: usize,
    /// With which letters charts are drawn.
    pub letters: Letters,
}

/// The letters of a drawing.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Letters {
    /// Dots, blocks and rules.
    #[default]
    Drawn,
    /// Those of a typewriter alone.
    Plain,
}

/// What a piece is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Tone {
    /// Headings and answers.
    Strong,
    /// What only goes along.
    Faint,
    /// It holds.
    Good,
    /// It does not hold, or is wrong.
    Bad,
    /// It asks for care.
    Care,
}

impl Default for Style {
    fn default() -> Style {
        Style {
            colour: false,
            width: 80,
            letters: Letters::Drawn,
        }
    }
}

impl Style {
    /// The text in its tone; without colour, the text as it is.
    pub(crate) fn paint(self, tone: Tone, text: &str) -> String {
        if !self.colour || text.is_empty() {
            return text.to_owned();
        }
        format!("\u{1b}[{}m{text}\u{1b}[0m", tone.code())
    }

    /// The columns to lay out for: the terminal's, within what can be read.
    pub fn columns(self) -> usize {
        self.width.clamp(30, 120)
    }
}

impl Tone {
    fn code(self) -> &'static str {
        match self {
            Tone::Strong => "1",
            Tone::Faint => "2",
            Tone::Good => "32",
            Tone::Bad => "31",
            Tone::Care => "33",
        }
    }
}
