//! The page of a tune as SVG, with the places of its measures.

use super::desk::Desk;
use super::memory::locked;
use super::refusal::Refusal;
use super::work;
use crate::drawing::{Drawn, Layout, Purpose, boxes};
use crate::number::Named;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use music::Score;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How the page is wished for; lengths in millimetres, sizes of letters and fingers in percent.
#[derive(Clone, Debug, Deserialize)]
pub struct Wished {
    #[serde(rename = "for")]
    purpose: Option<String>,
    staff: Option<f64>,
    text: Option<u32>,
    fingers: Option<u32>,
    width: Option<f64>,
    height: Option<f64>,
}

impl Wished {
    /// The layout, each value brought to the nearest that can be drawn. Errors: a purpose there is not.
    pub fn layout(&self) -> Result<Layout, Refusal> {
        let usual = Layout::default();
        let purpose = match self.purpose.as_deref() {
            None | Some("worktable") => Purpose::Worktable,
            Some("stand") => Purpose::Stand,
            Some("print") => Purpose::Print,
            Some(other) => {
                return Err(Refusal::new(StatusCode::BAD_REQUEST, format!("a page for \"{other}\": expected worktable, stand or print")));
            }
        };
        let within = |value: Option<f64>, low: f64, high: f64| value.filter(|v| v.is_finite()).map(|v| v.clamp(low, high));
        let width = within(self.width, 80.0, 1200.0);
        let height = within(self.height, 80.0, 2000.0);
        Ok(Layout {
            staff: within(self.staff, 4.5, 14.0).unwrap_or(usual.staff),
            text: self.text.unwrap_or(100).clamp(60, 250),
            fingers: self.fingers.unwrap_or(100).clamp(60, 300),
            paper: width.map(|w| (w, height.unwrap_or(w * 297.0 / 210.0))),
            purpose,
        })
    }
}

pub async fn page(State(desk): State<Arc<Desk>>, Path(id): Path<String>, Query(wished): Query<Wished>) -> Result<Json<Value>, Refusal> {
    let layout = wished.layout()?;
    work(move || {
        if layout.purpose == Purpose::Worktable {
            *locked(&desk.layout) = Some(layout.clone());
        }
        // What changes while the engraver is busy is drawn as it is then.
        loop {
            let look = desk.look(&id)?;
            let worktable = desk.worktable(&look)?;
            let current = || desk.look(&id).is_ok_and(|now| now.revision == look.revision);
            if let Some(drawn) = desk.pages(worktable.musicxml(), &layout, &current)? {
                let measures = measures(&worktable.job.arrangement.score, &drawn);
                return Ok(Json(
                    json!({"revision": look.revision, "svgs": drawn.svgs, "measures": measures, "boxes": boxes(&drawn.boxed)}),
                ));
            }
        }
    })
    .await
}

/// Each measure with the ids that are on its page.
pub(super) fn measures(score: &Score, drawn: &Drawn) -> Vec<Value> {
    let mut ids: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for svg in &drawn.svgs {
        for rest in svg.split(" id=\"m").skip(1) {
            let id = rest.split('"').next().unwrap_or_default();
            let digits: String = id.chars().take_while(char::is_ascii_digit).collect();
            let of_measure = id[digits.len()..].starts_with("-r") || id[digits.len()..].starts_with("-l") || id.len() == digits.len();
            if let Some(index) = digits.parse().ok().filter(|i| *i < score.measures.len() && of_measure) {
                ids.entry(index).or_default().push(&rest[..id.len()]);
            }
        }
    }
    let measure = |(index, m): (usize, &music::ScoreMeasure)| {
        let ids: Vec<String> = ids.get(&index).into_iter().flatten().map(|id| format!("m{id}")).collect();
        json!({"index": index, "number": Named(m.frame.number), "page": drawn.pages.get(index).copied().unwrap_or(1), "ids": ids})
    };
    score.measures.iter().enumerate().map(measure).collect()
}
