# Where everything lives that is built or fetched: outside the checkout, so that a fresh clone finds the compiled engraving library again.
# Sourced by the other scripts; sets CARGO_TARGET_DIR, UNDERSONG_CACHE, UNDERSONG_PYTHON, UNDERSONG_DENY, UNDERSONG_NEXTEST, UNDERSONG_AXE, UNDERSONG_TSC and UNDERSONG_SBOM_PYTHON, and stands in the checkout's root.

cd "$(dirname "${BASH_SOURCE[0]}")/.."

UNDERSONG_CACHE=${UNDERSONG_CACHE:-${XDG_CACHE_HOME:-$HOME/.cache}/undersong}
mkdir -p "$UNDERSONG_CACHE"

export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$UNDERSONG_CACHE/target}

python_environment=$UNDERSONG_CACHE/python-$(sha256sum outside/requirements.txt | cut -c1-12)
export UNDERSONG_PYTHON=$python_environment/bin/python

# What looks at the licences and the sources of the crates.
deny_version=0.20.2
export UNDERSONG_DENY=${UNDERSONG_DENY:-$UNDERSONG_CACHE/cargo-deny-$deny_version/bin/cargo-deny}

# What runs the tests of all crates side by side; the one of the system where there is one.
nextest_version=0.9.143
UNDERSONG_NEXTEST=$(command -v cargo-nextest || true)
export UNDERSONG_NEXTEST=${UNDERSONG_NEXTEST:-$UNDERSONG_CACHE/cargo-nextest-$nextest_version/bin/cargo-nextest}

# The accessibility checker that the tests of the page run in the browser.
axe_version=4.14.1
export UNDERSONG_AXE=$UNDERSONG_CACHE/axe-core-$axe_version.js

# What looks at the types of the page's scripts (tsc, run by node).
typescript_version=5.9.3
export UNDERSONG_TSC=$UNDERSONG_CACHE/typescript-$typescript_version/lib/tsc.js

# The standard's schema, by which the list of what is linked in is checked before a release.
sbom_requirement='cyclonedx-python-lib[json-validation]==11.12.0'
export UNDERSONG_SBOM_PYTHON=$UNDERSONG_CACHE/sbom-python-$(printf '%s' "$sbom_requirement" | sha256sum | cut -c1-12)/bin/python
