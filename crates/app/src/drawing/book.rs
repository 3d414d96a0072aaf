//! A book of the desk as the engraver binds it. Its pages were drawn in processes of their own; binding them needs none of the engraving library and is done here.

use desk::book::bound as asked;
use desk::drawing::NoPage;
use engrave::Leaf;
use engrave::book;

/// Binds it. Errors: a leaf is none.
pub fn bind(asked: &asked::Book) -> Result<asked::Bound, NoPage> {
    let pieces = asked.tunes.iter().map(piece).collect::<Option<Vec<_>>>();
    let bound = book::Book {
        title: asked.title.clone(),
        below: asked.below.clone(),
        foot: asked.foot.clone(),
        pieces: pieces.ok_or(NoPage::Failed)?,
        order: match asked.places {
            asked::Places::Kept => book::Order::Kept,
            asked::Places::MayChange => book::Order::MayMove,
        },
        indices: asked.indices.iter().map(index).collect(),
        left_out: asked.left_out.iter().map(|l| book::LeftOut { title: l.title.clone(), why: l.why.clone() }).collect(),
    }
    .bind();
    Ok(asked::Bound { pdf: bound.pdf, pages: bound.pages, blank: bound.blank, moved: bound.moved })
}

fn piece(tune: &asked::Tune) -> Option<book::Piece> {
    let leaves = tune.leaves.iter().map(|leaf| Leaf::read(&leaf.0)).collect::<Option<Vec<Leaf>>>()?;
    Some(book::Piece { title: tune.title.clone(), by: tune.by.clone(), leaves })
}

fn index(index: &asked::Index) -> book::Index {
    let entry = |entry: &asked::Entry| book::Entry { piece: entry.tune, says: entry.says.clone() };
    let group = |group: &asked::Group| book::Group { heading: group.heading.clone(), entries: group.entries.iter().map(entry).collect() };
    book::Index {
        heading: index.heading.clone(),
        words: index.words.clone(),
        heads: index.heads.clone(),
        groups: index.groups.iter().map(group).collect(),
    }
}
