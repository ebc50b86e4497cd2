//! The list of all functions, and finding one.

use super::Function;

/// Every function, chapter by chapter.
pub fn functions() -> impl Iterator<Item = &'static Function> {
    [].into_iter()
}

/// The function of that name.
pub fn function(name: &str) -> Option<&'static Function> {
    functions().find(|function| function.name == name)
}
