//! What every answer gives: a page for people, an object for programs, and, where it is one, a table for spreadsheets.

use std::borrow::Cow;

use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform};
use schemars::{JsonSchema, Schema};
use serde::Serialize;
use serde_json::{Value, json};

use super::fold::fold;
use super::tame::escaped;

/// The answer of a command.
pub trait Answer {
    /// What programs read: names are fixed, figures are in mm, g, °C, min, fractions. A figure that does not exist is an `Option`.
    type Json: Serialize + JsonSchema;
    /// Names the shape of [`Answer::Json`]; it changes when a name or a meaning does.
    const SCHEMA: &'static str;
    /// The page for people, in the reader's units; its tables fit into so many columns.
    fn text(&self, wide: usize) -> String;
    /// The same with every line folded to so many columns.
    fn page(&self, wide: usize) -> String {
        fold(&self.text(wide), wide)
    }
    /// The object for programs, its `schema` apart.
    fn json(&self) -> Self::Json;
    /// The table for spreadsheets; `None` where the answer is none.
    fn csv(&self) -> Option<Table> {
        None
    }
}

/// An object behind the name of its shape.
#[derive(Serialize)]
struct Named<T> {
    schema: &'static str,
    #[serde(flatten)]
    object: T,
}

/// An answer as JSON text.
#[must_use]
pub fn json_text<A: Answer>(answer: &A) -> String {
    match serde_json::to_string_pretty(&Named { schema: A::SCHEMA, object: answer.json() }) {
        Ok(text) => escaped(text) + "\n",
        Err(error) => bug!("an answer that is no JSON: {error}"),
    }
}

/// The shape of an answer's JSON, and the name that it carries.
pub(super) fn schema<A: Answer + 'static>() -> (&'static str, Schema) {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<A::Json>();
    schema.insert("title".to_owned(), A::SCHEMA.into());
    match schema.get_mut("properties").and_then(Value::as_object_mut) {
        Some(properties) => properties.insert("schema".to_owned(), json!({ "const": A::SCHEMA })),
        None => bug!("`{}` is no object", A::SCHEMA),
    };
    match schema.get_mut("required").and_then(Value::as_array_mut) {
        Some(required) => required.push("schema".into()),
        None => bug!("`{}` promises nothing", A::SCHEMA),
    }
    // What has no name here is not said.
    let closed = |schema: &mut Schema| {
        if schema.get("properties").is_some() {
            schema.insert("additionalProperties".to_owned(), false.into());
        }
    };
    RecursiveTransform(closed).transform(&mut schema);
    (A::SCHEMA, schema)
}

/// One head, and one rectangle under it: figures in base units, nothing where there is none.
pub struct Table {
    head: Vec<Cow<'static, str>>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table.
    pub fn new<H: Into<Cow<'static, str>>>(
        head: impl IntoIterator<Item = H>,
        rows: impl IntoIterator<Item = Vec<String>>,
    ) -> Table {
        Table { head: head.into_iter().map(Into::into).collect(), rows: rows.into_iter().collect() }
    }

    /// A table of objects: of each those fields that the head names, apart from each other by a blank.
    pub fn of<T: Serialize>(head: &'static str, objects: impl IntoIterator<Item = T>) -> Table {
        let row = |object: T| match serde_json::to_value(object) {
            Ok(object) => head.split(' ').map(|field| plain(object.get(field))).collect(),
            Err(error) => bug!("a row that is no JSON: {error}"),
        };
        Table::new(head.split(' '), objects.into_iter().map(row))
    }

    /// The table as CSV text.
    #[must_use]
    pub fn text(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let head: Vec<String> = self.head.iter().map(|h| h.to_string()).collect();
        for row in std::iter::once(&head).chain(&self.rows) {
            if let Err(error) = writer.write_record(row) {
                bug!("a table that is no rectangle: {error}");
            }
        }
        match writer.into_inner().map(String::from_utf8) {
            Ok(Ok(text)) => text,
            _ => bug!("a table that is no text"),
        }
    }
}

/// A field of an object as it stands in a table.
fn plain(field: Option<&Value>) -> String {
    match field {
        Some(Value::Null) => String::new(),
        Some(Value::Bool(yes)) => u8::from(*yes).to_string(),
        Some(Value::Number(figure)) if figure.is_f64() => cell(figure.as_f64()),
        Some(Value::Number(count)) => count.to_string(),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Array(all)) => all.iter().map(|one| plain(Some(one))).collect::<Vec<_>>().join(" "),
        Some(Value::Object(_)) | None => bug!("a table of what is no plain field"),
    }
}

/// A figure in a table; nothing where there is none.
pub(super) fn cell(figure: Option<impl ToString>) -> String {
    figure.map_or(String::new(), |f| f.to_string())
}
