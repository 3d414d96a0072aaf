//! How the program and its drawing process talk: a message is a sign, a count, and so many parts, each with its length before it. What begins otherwise is no message.

use std::io::{Error, ErrorKind, Read, Write};

/// What a message begins with.
const SIGN: [u8; 4] = *b"page";
/// The most bytes and the most parts of one message: more than the longest tune in the largest print needs.
const LONGEST: u64 = 1 << 30;
const MOST: u32 = 10_000;

/// Sends a message. Errors: the other side is gone, or the message is longer than any is.
pub fn write(out: &mut impl Write, parts: &[&[u8]]) -> Result<(), Error> {
    let number = |n: usize| u32::try_from(n).map_err(|_| Error::from(ErrorKind::InvalidInput));
    out.write_all(&SIGN)?;
    out.write_all(&number(parts.len())?.to_le_bytes())?;
    for part in parts {
        out.write_all(&number(part.len())?.to_le_bytes())?;
        out.write_all(part)?;
    }
    out.flush()
}

/// Waits for a message and takes it. Errors: the other side is gone, or what it said is no message.
pub fn read(from: &mut impl Read) -> Result<Vec<Vec<u8>>, Error> {
    let mut sign = [0; 4];
    from.read_exact(&mut sign)?;
    let count = number(from)?;
    if sign != SIGN || count > MOST {
        return Err(ErrorKind::InvalidData.into());
    }
    let mut left = LONGEST;
    (0..count).map(|_| part(from, &mut left)).collect()
}

fn part(from: &mut impl Read, left: &mut u64) -> Result<Vec<u8>, Error> {
    let length = u64::from(number(from)?);
    *left = left.checked_sub(length).ok_or(ErrorKind::InvalidData)?;
    let mut bytes = Vec::new();
    from.take(length).read_to_end(&mut bytes)?;
    if bytes.len() as u64 == length { Ok(bytes) } else { Err(ErrorKind::UnexpectedEof.into()) }
}

fn number(from: &mut impl Read) -> Result<u32, Error> {
    let mut bytes = [0; 4];
    from.read_exact(&mut bytes)?;
    Ok(u32::from_le_bytes(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: &[u8]) -> Result<Vec<Vec<u8>>, ErrorKind> {
        read(&mut &bytes[..]).map_err(|error| error.kind())
    }

    #[test]
    fn a_message_comes_as_it_was_sent() {
        let mut sent = Vec::new();
        write(&mut sent, &[b"", b"a page"]).expect("there is room");
        assert_eq!(check(&sent), Ok(vec![Vec::new(), b"a page".to_vec()]));
        for short in 0..sent.len() {
            assert_eq!(check(&sent[..short]), Err(ErrorKind::UnexpectedEof), "{short} bytes");
        }
    }

    #[test]
    fn what_is_no_message_is_refused() {
        assert_eq!(check(b"a warning of some library\n"), Err(ErrorKind::InvalidData));
        assert_eq!(check(&[&SIGN[..], &[255; 4]].concat()), Err(ErrorKind::InvalidData));
        assert_eq!(check(&[&SIGN[..], &1_u32.to_le_bytes(), &[255; 4]].concat()), Err(ErrorKind::InvalidData));
    }
}
