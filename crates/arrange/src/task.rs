//! What a plan is made for: the tune, the harp, the player and her wishes, looked at from every room that plans.

use crate::figures::Figures;
use crate::register::Register;
use crate::slots::Slot;
use crate::tune::Tune;
use crate::view::{Manner, View};
use crate::wishes::Wishes;
use harmony::kind::KindOfTune;
use harp::{Instrument, Player};

/// What a plan is made for.
pub struct Task<'a> {
    pub tune: &'a Tune,
    pub figures: &'a Figures,
    pub harp: &'a Instrument,
    pub player: &'a Player,
    pub wishes: &'a Wishes,
    pub kind: KindOfTune,
    pub manner: Manner,
    pub register: Register,
}

pub(crate) fn view<'a>(task: &'a Task, slot: &'a Slot) -> View<'a> {
    let origin = task.tune.origin[slot.measure];
    let high = task.wishes.high.contains(&origin.verse()) && origin.part() == music::Part::Tune;
    let register = if high { task.register.up(1) } else { task.register };
    View::new(task.tune, slot, task.player, task.manner, register)
}
