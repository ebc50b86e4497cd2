//! The list of studies: both shells read what may be asked for from here.
//!
//! How each is asked for is in [`super::asked`]. Start reading at [`STUDIES`].

use super::asked::StudyVerb;
use super::{class, doubt, study, vary};

/// Every study, in the order of help.
pub const STUDIES: &[StudyVerb] = &[
    study::WHY,
    doubt::DOUBT,
    study::COMPARE,
    study::AUDIT,
    study::LEEWAY,
    vary::SWEEP,
    vary::AIM,
    study::DIFF,
    class::MARK,
];

/// The study of that name.
pub fn study_verb(name: &str) -> Option<&'static StudyVerb> {
    STUDIES.iter().find(|study| study.name == name)
}
