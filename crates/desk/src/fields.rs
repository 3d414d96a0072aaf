//! Which fields a table of a file can have, asked of the type that reads it: there is no second list of them.

use serde::de::value::Error;
use serde::de::{DeserializeOwned, Deserializer, Error as _, Visitor};
use serde::forward_to_deserialize_any;

/// The names of the fields of `T`, old names included; none for what is no table of fields.
pub fn fields<T: DeserializeOwned>() -> &'static [&'static str] {
    let mut found: &[&str] = &[];
    let _ = T::deserialize(Asking(&mut found));
    found
}

/// Has nothing to read, but hears which fields are looked for.
struct Asking<'a>(&'a mut &'static [&'static str]);

impl<'de> Deserializer<'de> for Asking<'_> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Error> {
        Err(Error::custom("there is nothing to read"))
    }

    fn deserialize_struct<V: Visitor<'de>>(self, _: &'static str, fields: &'static [&'static str], _: V) -> Result<V::Value, Error> {
        *self.0 = fields;
        Err(Error::custom("there is nothing to read"))
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct newtype_struct
        seq tuple tuple_struct map enum identifier ignored_any
    }
}
