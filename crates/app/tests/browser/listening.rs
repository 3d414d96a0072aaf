//! Hears what the page hands to the browser's sound: every string and every click with its time, loudness and speed, beside what the program says the
//! music is.
//!
//! The clock of the music goes on by a fifth of a second whenever the page looks ahead, and stands between: a busy machine makes it slow but never late, so
//! that times can be compared exactly.

use crate::browser_page::BrowserPage;
use serde::Deserialize;

/// Watches the sources of sound from now on. A string is known by the address its sound came from.
const EAR: &str = r"
    const names = new WeakMap(), gains = new WeakMap(), firsts = new WeakMap();
    const read = Response.prototype.arrayBuffer;
    Response.prototype.arrayBuffer = async function () { const bytes = await read.call(this); names.set(bytes, this.url); return bytes; };
    const decode = BaseAudioContext.prototype.decodeAudioData;
    BaseAudioContext.prototype.decodeAudioData = async function (bytes) {
        const address = names.get(bytes), sound = await decode.call(this, bytes);
        names.set(sound, decodeURIComponent(address).replace(/^.*\/sample\//, '').replace(/\.wav.*$/, ''));
        return sound;
    };
    const set = AudioParam.prototype.setValueAtTime;
    AudioParam.prototype.setValueAtTime = function (value, when) { if (!firsts.has(this)) firsts.set(this, value); return set.call(this, value, when); };
    const join = AudioNode.prototype.connect;
    AudioNode.prototype.connect = function (to, ...rest) { if (to.gain) gains.set(this, to.gain); return join.call(this, to, ...rest); };
    const gain = (node) => firsts.get(gains.get(node)) ?? gains.get(node).value;
    window.heard = [];
    const pluck = AudioBufferSourceNode.prototype.start;
    AudioBufferSourceNode.prototype.start = function (when) {
        window.heard.push({ string: names.get(this.buffer), when, gain: gain(this), speed: this.playbackRate.value * 2 ** (this.detune.value / 1200) });
        return pluck.call(this, when);
    };
    const click = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (when) { window.heard.push({ string: null, when, gain: gain(this), speed: 1 }); return click.call(this, when); };
    let music = 1;
    Object.defineProperty(BaseAudioContext.prototype, 'currentTime', { get: () => music });
    const again = setInterval;
    window.setInterval = (look, every) => again(() => { music += 0.2; look(); }, every / 4);
";

/// One string or click as it was handed over.
#[derive(Debug, Clone, Deserialize)]
pub struct Heard {
    /// The string's pitch as the program names it; nothing for a click.
    pub string: Option<String>,
    /// Seconds on the clock of the music.
    pub when: f64,
    /// How loud it begins; 1 is as the sound was made.
    pub gain: f64,
    /// How fast the sound is played; 1 is as it was made, other speeds would change the pitch.
    pub speed: f64,
}

/// The music as the program describes it to the page; times in seconds as written.
#[derive(Debug, Deserialize)]
pub struct Music {
    pub plucks: Vec<Pluck>,
    pub beats: Vec<Beat>,
    pub passes: Vec<Pass>,
}

#[derive(Debug, Clone, Deserialize)]
pub struct Pluck {
    pub t: f64,
    pub sample: String,
    pub hand: String,
    pub measure: usize,
}

#[derive(Debug, Deserialize)]
pub struct Beat {
    pub t: f64,
    pub measure: usize,
}

#[derive(Debug, Deserialize)]
pub struct Pass {
    pub start: f64,
    pub end: f64,
}

pub async fn listen(page: &BrowserPage) {
    page.run(EAR, Vec::new()).await;
}

/// The music of the tune on the worktable.
pub async fn music(page: &BrowserPage) -> Music {
    let script = "const done = arguments[arguments.length - 1], id = location.hash.split('/')[2];
        fetch(`/api/tunes/${id}/sound`).then((answer) => answer.json()).then(done);";
    let music = page.client.execute_async(script, Vec::new()).await.expect("the music comes");
    serde_json::from_value(music).expect("plucks, beats and passes")
}

/// Presses Play, waits for the end of the music and gives what was heard, in the order of time and pitch.
pub async fn play_through(page: &BrowserPage) -> Vec<Heard> {
    page.press("Play").await;
    page.until("it has been played", "window.heard.length > 0 && document.querySelector('.play').innerText === 'Play'").await;
    heard(page).await
}

/// What was heard since it was asked last.
pub async fn heard(page: &BrowserPage) -> Vec<Heard> {
    let heard = page.run("return window.heard.splice(0)", Vec::new()).await;
    let mut heard: Vec<Heard> = serde_json::from_value(heard).expect("strings and clicks");
    heard.sort_by(|a, b| a.when.total_cmp(&b.when).then_with(|| a.string.cmp(&b.string)));
    heard
}
