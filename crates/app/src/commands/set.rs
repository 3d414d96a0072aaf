//! `undersong set`: tunes in an order for an occasion, in words and as one page.

use crate::arguments::folder::SetArguments;
use crate::failure::Failure;
use crate::screen;
use crate::write::kinds::Kinds;
use crate::write::leaves::Leaves;
use crate::write::written::Others;
use desk::save::RealDisk;
use desk::sets::fill::{self, Wished};
use desk::sets::laid::Laid;
use desk::sets::source::Folder;
use desk::sets::{Entry, TuneSet, links, page, words};
use desk::shelf::Shelf;
use desk::shelf::sets::is_set;
use formats::musicxml;
use std::path::{Path, PathBuf};

/// The title of a set that has none.
const UNTITLED: &str = "Set";

/// What was typed: the folder, its tunes by name, and the set they are of if it was kept.
struct Typed {
    shelf: Shelf,
    ids: Vec<String>,
    kept: Option<(PathBuf, TuneSet)>,
}

pub fn run(arguments: &SetArguments) -> Result<(), Failure> {
    let kinds = Kinds::of(&arguments.write, &["pdf", "svg", "png"])?;
    let best = best_order(arguments)?;
    let wished = arguments.minutes.map(|minutes| Wished::of(minutes, &arguments.mood)).transpose()?;
    let typed = typed(&arguments.tunes)?;
    let source = Folder::of(&typed.shelf);
    let mut set = typed.kept.as_ref().map(|(_, set)| set.clone()).unwrap_or_default();
    if let Some(wished) = wished {
        let filled = fill::fill(&typed.ids, wished, &source)?;
        screen::print(&format!("{}\n\n", filled.words))?;
        set.tunes = filled.tunes;
    } else if typed.kept.is_none() {
        set.tunes = typed.ids.iter().map(Entry::of).collect();
    }
    set.hold_first |= arguments.hold_first;
    set.hold_last |= arguments.hold_last;
    if let Some(title) = &arguments.title {
        title.trim().clone_into(&mut set.title);
    }
    set.check()?;
    if best {
        set = Laid::of(set, &source).in_order();
    }
    if let Some(measures) = arguments.links {
        let last = set.tunes.len().saturating_sub(1);
        set.tunes.iter_mut().take(last).for_each(|entry| entry.link = measures);
    }
    let laid = Laid::of(set, &source);
    write(&laid, &typed, arguments, kinds)
}

fn write(laid: &Laid, typed: &Typed, arguments: &SetArguments, kinds: Kinds) -> Result<(), Failure> {
    let file = typed.kept.as_ref().map_or(UNTITLED.into(), |(path, _)| file_name(path));
    let title = laid.set.named(&file);
    let paths: Vec<PathBuf> = typed.ids.iter().map(|id| typed.shelf.folder().join(id)).collect();
    // A set is the same whether its tunes were typed or its file was.
    let from = typed.shelf.folder();
    let mut leaves = Leaves::new(&arguments.to.folder, kinds, &paths, Others::of(arguments.to.force));
    let name = leaves.name(&format!("{title} - set"));
    leaves.sheet(&name, &page::page(laid, &title), from)?;
    if let Some(score) = links::all(laid, &title) {
        let name = leaves.name(&format!("{title} - links"));
        leaves.score(&name, &musicxml::write::write(&score), from)?;
    }
    if arguments.keep {
        let text = laid.set.toml();
        let kept = match &typed.kept {
            Some((path, _)) => typed.shelf.rewrite_set(&file_name(path), text.as_bytes()).map(|()| file_name(path))?,
            None => typed.shelf.take_in_set(&title, text.as_bytes())?,
        };
        leaves.files.push(kept);
    }
    screen::print(&(words::text(laid, &title).trim_end().to_owned() + "\n" + &leaves.in_words()))?;
    let gone = laid.rows.iter().filter(|row| row.tune.is_err()).count();
    if gone == 0 {
        return Ok(());
    }
    screen::aside(&format!("{gone} of {} tunes cannot be played as they are", laid.rows.len()));
    Err(Failure::Said { exit_code: 2 })
}

fn best_order(arguments: &SetArguments) -> Result<bool, Failure> {
    match arguments.order.as_deref() {
        None => Ok(!arguments.tunes.first().is_some_and(|path| is_set(&file_name(path)))),
        Some("best") => Ok(true),
        Some("given") => Ok(false),
        Some(other) => Err(Failure::wrong(format!("order \"{other}\": expected best or given"))),
    }
}

fn typed(paths: &[PathBuf]) -> Result<Typed, Failure> {
    let open = |folder: &Path| {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        Shelf::open(folder, Box::new(RealDisk))
    };
    if let [only] = paths {
        if only.is_dir() {
            let shelf = open(only)?;
            let ids = shelf.tunes()?.into_iter().map(|spine| spine.id).collect();
            return Ok(Typed { shelf, ids, kept: None });
        }
        if is_set(&file_name(only)) {
            let set = TuneSet::open(only)?;
            let shelf = open(only.parent().unwrap_or(Path::new(".")))?;
            let ids = set.tunes.iter().map(|entry| entry.tune.clone()).collect();
            return Ok(Typed { shelf, ids, kept: Some((only.clone(), set)) });
        }
    }
    if let Some(set) = paths.iter().find(|path| is_set(&file_name(path))) {
        return Err(Failure::wrong(format!("{}: a set stands alone, without tunes beside it", set.display())));
    }
    let folder = paths.first().and_then(|p| p.parent()).unwrap_or(Path::new("."));
    if let Some(other) = paths.iter().find(|path| path.parent() != Some(folder)) {
        let first = paths[0].display();
        return Err(Failure::wrong(format!("{} and {first} lie in two folders: expected the tunes of a set in one", other.display())));
    }
    if let Some(none) = paths.iter().find(|path| !path.exists()) {
        return Err(Failure::world("cannot read", none, &std::io::ErrorKind::NotFound.into()));
    }
    Ok(Typed { shelf: open(folder)?, ids: paths.iter().map(|path| file_name(path)).collect(), kept: None })
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
