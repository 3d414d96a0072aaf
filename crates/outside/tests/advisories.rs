//! No crate is in a version that an advisory of the RustSec database is about (advisories.toml, which says up to when).

use semver::{Version, VersionReq};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Known {
    advisory: Vec<Advisory>,
}

#[derive(Deserialize)]
struct Advisory {
    id: String,
    #[serde(rename = "crate")]
    of: String,
    kind: String,
    patched: Vec<VersionReq>,
    unaffected: Vec<VersionReq>,
}

impl Advisory {
    fn concerns(&self, version: &Version) -> bool {
        !self.patched.iter().chain(&self.unaffected).any(|range| range.matches(version))
    }
}

#[derive(Deserialize)]
struct Lock {
    package: Vec<Package>,
}

#[derive(Deserialize)]
struct Package {
    name: String,
    version: Version,
}

fn read<T: for<'a> Deserialize<'a>>(file: &str) -> T {
    let text = std::fs::read_to_string(file).unwrap_or_else(|e| panic!("{file}: {e}"));
    toml::from_str(&text).unwrap_or_else(|e| panic!("{file}: {e}"))
}

#[test]
fn no_crate_has_a_known_hole() {
    let known: Known = read("../../advisories.toml");
    let lock: Lock = read("../../Cargo.lock");
    let mut versions: BTreeMap<&str, Vec<&Version>> = BTreeMap::new();
    for package in &lock.package {
        versions.entry(&package.name).or_default().push(&package.version);
    }
    let mut held = 0;
    let mut found = Vec::new();
    for advisory in &known.advisory {
        for version in versions.get(advisory.of.as_str()).into_iter().flatten() {
            held += 1;
            if advisory.concerns(version) {
                found.push(format!("{} {version}: {}, {}", advisory.of, advisory.id, advisory.kind));
            }
        }
    }
    assert!(held >= 50, "only {held} versions were held against an advisory");
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// RUSTSEC-2023-0001 (tokio): patched in 1.18.4, 1.20.3 and 1.23.1, unaffected before 1.7.0; RUSTSEC-2026-0260 (arrayref): only what came after 0.3.9.
#[test]
fn the_ranges_mean_what_the_database_means() {
    let known: Known = read("../../advisories.toml");
    let of = |id: &str, version: &str| {
        let advisory = known.advisory.iter().find(|a| a.id == id).expect("an advisory");
        advisory.concerns(&version.parse().expect("a version"))
    };
    for (version, concerned) in
        [("1.6.9", false), ("1.7.0", true), ("1.18.3", true), ("1.18.4", false), ("1.19.0", true), ("1.23.1", false)]
    {
        assert_eq!(of("RUSTSEC-2023-0001", version), concerned, "tokio {version}");
    }
    assert!(!of("RUSTSEC-2026-0260", "0.3.9") && of("RUSTSEC-2026-0260", "0.3.10"));
}
