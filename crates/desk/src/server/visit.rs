//! Asking a desk that is open already, in another start of the program, for an address that a browser may be started with.

use super::pass::Pass;
use serde_json::Value;
use std::io::{Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::time::Duration;

/// A desk that is open answers this at once.
const PATIENCE: Duration = Duration::from_secs(2);
/// No answer is longer, in bytes.
const LONGEST: u64 = 8 * 1024;

/// The address that is good for once, from a desk's own address. `None`: it is no such address, or no desk of ours answers there.
pub fn address_for_once(address: &str) -> Option<String> {
    let (pass, port) = Pass::of_address(address)?;
    let own = format!("127.0.0.1:{}", port.0);
    let mut stream = TcpStream::connect_timeout(&SocketAddr::from((Ipv4Addr::LOCALHOST, port.0)), PATIENCE).ok()?;
    stream.set_read_timeout(Some(PATIENCE)).ok()?;
    stream.set_write_timeout(Some(PATIENCE)).ok()?;
    let cookie = pass.cookie(port);
    let head = format!(
        "POST /api/ticket HTTP/1.1\r\nHost: {own}\r\nOrigin: http://{own}\r\nCookie: {cookie}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    );
    stream.write_all(head.as_bytes()).ok()?;
    let mut answer = String::new();
    stream.take(LONGEST).read_to_string(&mut answer).ok()?;
    let (head, body) = answer.split_once("\r\n\r\n")?;
    let body: Value = head.starts_with("HTTP/1.1 200 ").then(|| serde_json::from_str(body).ok())??;
    body["address"].as_str().filter(|a| a.starts_with(&format!("http://{own}/"))).map(ToOwned::to_owned)
}

/// The port of a desk's own address.
pub fn port(address: &str) -> Option<u16> {
    Pass::of_address(address).map(|(_, port)| port.0)
}
