//! [`BySize`]: a JSON object with a value for each size, in which no size may be written twice.

use std::fmt;
use std::marker::PhantomData;

use schemars::JsonSchema;
use serde::de::{Deserializer, Error, MapAccess, Visitor};
use serde::{Deserialize, Serialize, Serializer};

use crate::job::limits::MAX_SIZES;

/// A value for each size, in the order of the file.
///
/// A plain map would keep the last of two values written for one size and say nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct BySize<T>(pub Vec<(String, T)>);

impl<T: Serialize> Serialize for BySize<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(size, value)| (size, value)))
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for BySize<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<BySize<T>, D::Error> {
        deserializer.deserialize_map(BySizeVisitor(PhantomData))
    }
}

struct BySizeVisitor<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for BySizeVisitor<T> {
    type Value = BySize<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object with a shape for each size")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<BySize<T>, A::Error> {
        let mut seen = std::collections::BTreeSet::new();
        let mut entries = Vec::new();
        while let Some(size) = map.next_key::<String>()? {
            if entries.len() == MAX_SIZES {
                return Err(A::Error::custom(format_args!(
                    "more than {MAX_SIZES} entries stand here, which is the most that can be handled"
                )));
            }
            if !seen.insert(size.clone()) {
                return Err(A::Error::custom(format_args!("duplicate field `{size}`")));
            }
            entries.push((size, map.next_value()?));
        }
        Ok(BySize(entries))
    }
}

impl<T: JsonSchema> JsonSchema for BySize<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("BySize_{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        std::collections::BTreeMap::<String, T>::json_schema(generator)
    }
}
