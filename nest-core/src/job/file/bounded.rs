//! Lists that are refused while they are read once they grow too long, so that a hostile file cannot fill the memory.

use std::fmt;
use std::marker::PhantomData;

use serde::Deserialize;
use serde::de::{Deserializer, Error, SeqAccess, Visitor};

/// For `deserialize_with`: a list of at most `MOST` entries.
pub(super) fn list<'de, D, T, const MOST: usize>(deserializer: D) -> Result<Vec<T>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    Bounded::<T, MOST>::deserialize(deserializer).map(|bounded| bounded.0)
}

/// For `deserialize_with`: a list of at most `MOST` entries, or null.
pub(super) fn optional_list<'de, D, T, const MOST: usize>(deserializer: D) -> Result<Option<Vec<T>>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    Option::<Bounded<T, MOST>>::deserialize(deserializer).map(|list| list.map(|bounded| bounded.0))
}

struct Bounded<T, const MOST: usize>(Vec<T>);

impl<'de, T: Deserialize<'de>, const MOST: usize> Deserialize<'de> for Bounded<T, MOST> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_seq(BoundedVisitor(PhantomData))
    }
}

struct BoundedVisitor<T, const MOST: usize>(PhantomData<T>);

impl<'de, T: Deserialize<'de>, const MOST: usize> Visitor<'de> for BoundedVisitor<T, MOST> {
    type Value = Bounded<T, MOST>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an array")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let mut list = Vec::new();
        while let Some(entry) = seq.next_element()? {
            if list.len() == MOST {
                return Err(A::Error::custom(format_args!(
                    "more than {MOST} entries stand here, which is the most that can be handled"
                )));
            }
            list.push(entry);
        }
        Ok(Bounded(list))
    }
}
