//! Which port of this machine the page answers on. A browser keeps what she set there (colours, sizes, tempos) for one port alone, so a folder has the same at every start.

use crate::failure::{Failure, Hindrance};
use std::io::ErrorKind;
use std::net::Ipv4Addr;
use std::path::Path;
use tokio::net::TcpListener;

/// Ports of folders begin here: below those that the system hands out by itself, and where no browser refuses one.
const FIRST: u16 = 20_000;
/// So many are there.
const PORTS: u32 = 10_000;

/// Which port is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// This one and no other; 0 is any that is free.
    Only(u16),
    /// This one, or any that is free where another program has it.
    Rather(u16),
}

impl Wanted {
    /// The port of a folder.
    pub fn for_folder(folder: &Path) -> Wanted {
        let place = fnv(folder.as_os_str().as_encoded_bytes()) % PORTS;
        Wanted::Rather(FIRST + u16::try_from(place).expect("there are fewer ports than numbers"))
    }

    /// Listens there. Errors: another program has the port, or the system gives none.
    pub async fn listen(self) -> Result<TcpListener, Failure> {
        let at = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
        let (port, bound) = match self {
            Wanted::Only(port) => (port, at(port).await),
            Wanted::Rather(port) => match at(port).await {
                Err(_) => (0, at(0).await),
                bound => (port, bound),
            },
        };
        bound.map_err(|error| match error.kind() {
            ErrorKind::AddrInUse => Failure::World(format!("port {port} is taken by another program: without --port a free one is found")),
            _ => Failure::World(format!("cannot answer on port {port} of this machine: {}", Hindrance::of(&error))),
        })
    }
}

/// FNV-1a in 32 bits (draft-eastlake-fnv): the same in every build of the program.
fn fnv(bytes: &[u8]) -> u32 {
    bytes.iter().fold(0x811c_9dc5, |hash, byte| (hash ^ u32::from(*byte)).wrapping_mul(0x0100_0193))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn port(listener: &TcpListener) -> u16 {
        listener.local_addr().expect("its number").port()
    }

    #[test]
    fn a_folder_has_its_port() {
        // The draft's table of tests.
        assert_eq!((fnv(b""), fnv(b"a"), fnv(b"foobar")), (0x811c_9dc5, 0xe40c_292c, 0xbf9c_f968));
        assert_ne!(Wanted::for_folder(Path::new("/home/marta/Undersong")), Wanted::for_folder(Path::new("/home/jan/Undersong")));
    }

    #[tokio::test]
    async fn where_it_is_taken_there_is_another() {
        let first = Wanted::Only(0).listen().await.expect("any port");
        let taken = port(&first);
        assert!(Wanted::Only(taken).listen().await.is_err());
        assert_ne!(port(&Wanted::Rather(taken).listen().await.expect("another port")), taken);
        drop(first);
        assert_eq!(port(&Wanted::Rather(taken).listen().await.expect("the port is free again")), taken);
    }
}
