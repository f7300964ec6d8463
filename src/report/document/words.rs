//! The words that types of the computation have in documents. A document keeps the type, so that texts made
//! from it find the type's other words; what is written is one word all the same.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};

use crate::model::{Convention, FloorMethod, PieceKind, Role};
use crate::plan::level::Told;
use crate::result::condensation::LimitKind;
use crate::review::{Question, Verdict};
use crate::standard::HeatFlow;

/// Writes types as what one of their methods gives, a `&'static str`.
macro_rules! written_as_word {
    ($($type:ty: $word:ident),* $(,)?) => {$(
        impl Serialize for $type {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.$word())
            }
        }

        impl JsonSchema for $type {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> Cow<'static, str> {
                str::schema_name()
            }

            fn json_schema(generator: &mut SchemaGenerator) -> Schema {
                str::json_schema(generator)
            }
        }
    )*};
}

written_as_word! {
    Convention: key,
    FloorMethod: word,
    HeatFlow: word,
    LimitKind: key,
    Question: key,
    Verdict: word,
    PieceKind: word,
    Role: word,
    Told: word,
}
