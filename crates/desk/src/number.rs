//! Numbers of measures as JSON: a measure of the tune is a number (5), one of a part that was added a text ("introduction 2").

use music::MeasureNumber;
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// A number of a measure with a JSON form.
pub struct Named(pub MeasureNumber);

impl Serialize for Named {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self.0.in_the_tune() {
            Some(number) => to.serialize_u32(number),
            None => to.collect_str(&self.0),
        }
    }
}

pub fn one<S: Serializer>(number: &MeasureNumber, to: S) -> Result<S::Ok, S::Error> {
    Named(*number).serialize(to)
}

pub fn list<S: Serializer>(numbers: &[MeasureNumber], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(numbers.iter().map(|n| Named(*n)))
}

pub fn table<S: Serializer>(table: &BTreeMap<MeasureNumber, String>, to: S) -> Result<S::Ok, S::Error> {
    let mut map = to.serialize_map(Some(table.len()))?;
    for (number, text) in table {
        map.serialize_entry(&number.to_string(), text)?;
    }
    map.end()
}
