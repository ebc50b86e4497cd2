//! A text told by its length and its checksum. Start reading at [`Mark`].

/// A text by its length in bytes and its checksum.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::session) struct Mark {
    pub(super) length: usize,
    pub(super) sum: u64,
}

impl Mark {
    pub(in crate::session) fn of(text: &str) -> Mark {
        Mark {
            length: text.len(),
            sum: checksum(SEED, text.as_bytes()),
        }
    }

    /// As it stands in a journal.
    pub(super) fn written(self) -> String {
        format!("{} {:016x}", self.length, self.sum)
    }
}

pub(super) const SEED: u64 = 0xcbf2_9ce4_8422_2325;

/// FNV-1a: enough to know what broke off or was changed by accident.
pub(in crate::session) fn checksum(seed: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(seed, |sum, byte| {
        (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// The checksum of a whole text.
pub(in crate::session) fn checksum_of(text: &str) -> u64 {
    checksum(SEED, text.as_bytes())
}
