//! `undersong places`: where the measures of a tune are in a recording, and how sure that is.

use crate::arguments::PlacesArguments;
use crate::failure::Failure;
use crate::job::Setup;
use crate::screen;
use desk::recordings::kept::sure;
use music::{Beats, LeadSheet, MeasureNumber};
use recording::words::clock;
use recording::{Anchor, Followed, Sure};

pub fn run(arguments: &PlacesArguments) -> Result<(), Failure> {
    let setup = Setup::new(&arguments.asked())?;
    let job = setup.arrange(&arguments.tune)?;
    let sheet = &job.imported.sheet;
    let anchors = arguments.at.iter().map(|text| anchor(text, sheet)).collect::<Result<Vec<_>, _>>()?;
    let heard = recording::listen(&recording::open(&arguments.recording)?);
    let found = recording::follow(sheet, job.arrangement.score.tempo, &heard, &anchors)?;
    screen::print(&if arguments.csv { csv(sheet, &found) } else { text(&job.title(), sheet, &found, arguments) })
}

/// "5=0:12.3" or "5=12.3": the first beat of measure 5 comes at that time.
fn anchor(text: &str, sheet: &LeadSheet) -> Result<Anchor, Failure> {
    let wrong = || Failure::wrong(format!("--at {text}: expected a measure and a time, as 5=0:12.3"));
    let (number, time) = text.split_once('=').ok_or_else(wrong)?;
    let number: MeasureNumber = number.trim().parse().map_err(|_| wrong())?;
    let (minutes, seconds) = time.trim().split_once(':').unwrap_or(("0", time.trim()));
    let minutes: u32 = minutes.parse().map_err(|_| wrong())?;
    let seconds: f64 =
        seconds.parse().ok().filter(|s: &f64| (0.0..60.0).contains(s) || !time.contains(':') && *s >= 0.0).ok_or_else(wrong)?;
    let measure = sheet.measures.iter().position(|m| m.frame.number == number);
    let measure = measure.ok_or_else(|| Failure::wrong(format!("--at {text}: there is no measure {number}")))?;
    Ok(Anchor { measure, seconds: f64::from(minutes) * 60.0 + seconds })
}

/// One row a beat; the measure as printed, the beat from 1.
fn csv(sheet: &LeadSheet, found: &Followed) -> String {
    let mut text = String::from("pass,measure,beat,seconds,sure\n");
    for (pass, one) in found.passes.iter().enumerate() {
        let frame = &sheet.measures[one.measure].frame;
        for (at, time) in &one.beats {
            let beat = 1.0 + at.as_f64() / frame.meter.beat().max(Beats::SMALLEST).as_f64();
            text +=
                &format!("{},{},{},{:.3},{}\n", pass + 1, frame.number, (beat * 1000.0).round() / 1000.0, time.as_f64(), sure(one.sure));
        }
    }
    text
}

fn text(title: &str, sheet: &LeadSheet, found: &Followed, arguments: &PlacesArguments) -> String {
    let name = arguments.recording.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let mut text = format!("{title} in {name} ({})\n", clock(found.length));
    for sentence in found.sentences(sheet, found.shift) {
        text += &format!("  {sentence}\n");
    }
    text += "\n  measure  begins    beats\n";
    for pass in &found.passes {
        let number = sheet.measures[pass.measure].frame.number;
        let name = if number == 0 { "pickup".to_owned() } else { number.to_string() };
        let beats: Vec<String> = pass.beats.iter().skip(1).map(|b| clock(b.1.as_f64())).collect();
        let doubt = match pass.sure {
            Sure::Not => "  not sure",
            Sure::Given => "  given by you",
            Sure::Yes => "",
        };
        text += format!("  {name:<7}  {:<8}  {}{doubt}", clock(pass.start().as_f64()), beats.join(" ")).trim_end();
        text.push('\n');
    }
    text
}
