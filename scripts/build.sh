# Sourced after places.sh. build ARGUMENTS: cargo build with these, saying what it does the first time, how far it is and about how long it will take. What takes
# long is the engraving library's C++, some three hundred files; everything else is a minute or two.

# How many of the engraving library's files are compiled, and how many there are.
compiled() { find "$CARGO_TARGET_DIR"/release/build/verovio-sys-*/out -name '*.o' -newer "$started" 2>/dev/null | wc -l; }
to_compile() {
    local library
    library=$(cargo metadata --quiet --locked --offline --format-version 1 | grep -o '"manifest_path":"[^"]*verovio-sys[^"]*"' | head -n 1 | cut -d'"' -f4)
    find "$(dirname "$library")/vendor/verovio" \( -path '*/src/*' -o -path '*/libmei/*' \) \( -name '*.cpp' -o -name '*.cc' \) | grep -vc c_wrapper || true
}

in_minutes() { printf '%d min %02d s' $(($1 / 60)) $(($1 % 60)); }

# One line that is written over on a terminal; elsewhere a line now and then.
say() {
    if [ -t 2 ]; then
        printf '\r%-100s' "$1" >&2
    elif [ $((${#said[@]} % 15)) = 0 ]; then
        echo "$1" >&2
    fi
    said+=(1)
}

build() {
    if compgen -G "$CARGO_TARGET_DIR/release/build/verovio-sys-*/out/libverovio.a" >/dev/null; then
        cargo build --quiet --release --locked --offline "$@"
        return
    fi
    echo "building Undersong for the first time: most of it is the engraving library, some ten minutes on two cores; later starts take seconds" >&2
    started=$(mktemp)
    local whole begun=$SECONDS done passed builder
    said=()
    whole=$(to_compile)
    cargo build --quiet --release --locked --offline "$@" &
    builder=$!
    trap 'kill "$builder" 2>/dev/null' INT TERM
    while kill -0 "$builder" 2>/dev/null; do
        sleep 2
        done=$(compiled)
        passed=$((SECONDS - begun))
        if compgen -G "$CARGO_TARGET_DIR/release/build/verovio-sys-*/out/libverovio.a" >/dev/null; then
            say "the engraving library is ready; the program itself now: $(in_minutes $passed) so far"
        elif [ "$done" -gt 30 ] && [ "$done" -lt "$whole" ]; then
            say "engraving library: $done of $whole files, $(in_minutes $passed) so far, about $(in_minutes $((passed * (whole - done) / done + 60))) to go"
        elif [ "$done" -gt 0 ]; then
            say "engraving library: the first of $whole files, $(in_minutes $passed) so far"
        else
            say "getting ready: $(in_minutes $passed) so far"
        fi
    done
    if [ -t 2 ]; then echo >&2; fi
    trap - INT TERM
    rm -f "$started"
    wait "$builder"
}
