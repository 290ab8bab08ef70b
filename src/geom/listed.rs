//! Tolerances as constants and, all of them, as members of an object by their names in small letters.

/// Constants of the file that calls it, and how its `Tolerances` are serialized and described.
macro_rules! tolerances {
    ($($(#[doc = $about:literal])* pub const $name:ident: $type:ty = $value:expr;)*) => {
        $($(#[doc = $about])* pub const $name: $type = $value;)*

        impl serde::Serialize for Tolerances {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                use serde::ser::SerializeMap;

                let mut all = serializer.serialize_map(None)?;
                $(all.serialize_entry(&stringify!($name).to_lowercase(), &$name)?;)*
                all.end()
            }
        }

        impl schemars::JsonSchema for Tolerances {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                "Tolerances".into()
            }

            fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
                let mut all = serde_json::Map::new();
                $({
                    let mut one = generator.subschema_for::<$type>();
                    one.insert("description".to_owned(), concat!($($about, "\n"),*).into());
                    all.insert(stringify!($name).to_lowercase(), one.into());
                })*
                let names: Vec<&str> = all.keys().map(String::as_str).collect();
                schemars::json_schema!({"type": "object", "required": names, "properties": all})
            }
        }
    };
}

pub(super) use tolerances;
