//! The engine at one target, by the name in UNDERSONG_FUZZ: see `scripts/fuzz`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

static TARGET: LazyLock<fuzz::Target> = LazyLock::new(|| {
    let name = std::env::var("UNDERSONG_FUZZ").unwrap_or_default();
    fuzz::target(&name).unwrap_or_else(|| panic!("UNDERSONG_FUZZ={name}: expected a target's name"))
});

fuzz_target!(|bytes: &[u8]| TARGET(bytes));
