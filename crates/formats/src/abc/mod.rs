//! ABC 2.1.

use crate::read::{Imported, ReadError, ReadOptions};

pub fn looks_like(_bytes: &[u8]) -> bool {
    false
}

pub fn read(_bytes: &[u8], _options: &ReadOptions) -> Result<Imported, ReadError> {
    Err(ReadError::UnknownFormat)
}
