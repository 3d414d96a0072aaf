//! A tune, arranged as the options say or as one of its versions does: the one way from a command line to an arrangement.

use crate::arguments::ChoiceArguments;
use crate::failure::Failure;
use crate::job::{Asked, Job, Ranked, Setup};
use crate::screen;
use desk::reader::Reader;
use desk::shelf;
use desk::versions;
use desk::worktable::{Arranged, arranged};
use std::path::Path;
use std::rc::Rc;

/// How tunes are arranged.
pub enum Opener {
    /// As the options of the command line say: read once for all tunes.
    Options(Rc<Setup>),
    /// As the version of this name does, each tune's own.
    Version(String),
}

impl Opener {
    pub fn new(choices: &ChoiceArguments) -> Result<Opener, Failure> {
        match &choices.version {
            Some(name) => Ok(Opener::Version(name.clone())),
            None => Ok(Opener::Options(Rc::new(Setup::new(&choices.asked()?)?))),
        }
    }

    pub fn open(&self, tune: &Path) -> Result<(Rc<Setup>, Job), Failure> {
        match self {
            Opener::Options(setup) => Ok((setup.clone(), setup.arrange(tune)?)),
            Opener::Version(name) => version(tune, name),
        }
    }

    /// Every key for a tune.
    pub fn keys(&self, tune: &Path) -> Result<(Rc<Setup>, Ranked), Failure> {
        match self {
            Opener::Options(setup) => Ok((setup.clone(), setup.keys(tune)?)),
            Opener::Version(name) => {
                let (setup, job) = version(tune, name)?;
                let ranked = setup.keys_read(tune, &job.imported)?;
                Ok((setup, ranked))
            }
        }
    }
}

fn version(tune: &Path, name: &str) -> Result<(Rc<Setup>, Job), Failure> {
    let bytes = shelf::read(tune)?;
    let versions = versions::beside(tune, &bytes)?;
    let choices = versions.named(name)?.choices.clone();
    for line in versions.said(name) {
        screen::aside(&line);
    }
    let folder = tune.parent().unwrap_or(Path::new(""));
    let asked = Asked { reader: Reader::CommandLine, ..choices.asked(folder)? };
    let Arranged { setup, job, no_part, .. } = arranged(&asked, tune, &bytes)?;
    if let Some(why) = no_part {
        screen::aside(&why);
    }
    Ok((Rc::new(setup), job))
}
