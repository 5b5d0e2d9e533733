//! The TypeScript declarations follow from the same schemas that the terminal publishes.
//!
//! After a change of the types, `UPDATE_EXPECT=1 cargo test -p tober-js` writes them anew.

use std::collections::BTreeMap;
use std::fmt::Write;

use expect_test::expect_file;
use schemars::generate::{SchemaGenerator, SchemaSettings};
use serde_json::Value;
use tober::assess::Assessment;
use tober::site::SiteFile;
use tober::survey::{FieldBookText, PointFile, PointFileChoice, Reduction, Standing};

#[test]
fn declarations_are_current() {
    let mut reads = SchemaSettings::draft2020_12().into_generator();
    reads.subschema_for::<SiteFile>();
    reads.subschema_for::<PointFileChoice>();
    let mut writes = SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator();
    writes.subschema_for::<Assessment>();
    writes.subschema_for::<Reduction>();
    writes.subschema_for::<Standing>();
    writes.subschema_for::<FieldBookText>();
    writes.subschema_for::<PointFile>();

    // What is both read and written is declared as it is read: keys that may be left out.
    let mut types = definitions(writes);
    types.extend(definitions(reads));
    let declarations: Vec<String> = types
        .iter()
        .map(|(name, schema)| declaration(name, schema))
        .collect();
    expect_file!["../src/types.d.ts"].assert_eq(&declarations.join("\n"));
}

fn definitions(mut generator: SchemaGenerator) -> BTreeMap<String, Value> {
    generator.take_definitions(true).into_iter().collect()
}

fn declaration(name: &str, schema: &Value) -> String {
    let mut text = comment(schema, "");
    let body = type_of(schema, "");
    let is_object = schema["properties"].is_object() && body.starts_with('{');
    if is_object {
        writeln!(text, "export interface {name} {body}").unwrap();
    } else {
        writeln!(text, "export type {name} = {body};").unwrap();
    }
    text
}

/// The TypeScript type of what a schema allows; lines after the first start with `indent`.
fn type_of(schema: &Value, indent: &str) -> String {
    if let Some(reference) = schema["$ref"].as_str() {
        return reference.rsplit('/').next().unwrap_or_default().to_owned();
    }
    if let Some(constant) = schema.get("const") {
        return constant.to_string();
    }
    if let Some(values) = schema["enum"].as_array() {
        return union(values.iter().map(Value::to_string));
    }
    let variants = schema["oneOf"].as_array().or(schema["anyOf"].as_array());
    if let Some(variants) = variants {
        let union = union(variants.iter().map(|variant| type_of(variant, indent)));
        // A tagged variant's fields stand beside the list of what the tag may be.
        return match schema["properties"].is_object() {
            true => format!("{} & ({union})", object(schema, indent)),
            false => union,
        };
    }
    match &schema["type"] {
        Value::String(name) => named(name, schema, indent),
        Value::Array(names) => union(
            names
                .iter()
                .map(|name| named(name.as_str().unwrap_or_default(), schema, indent)),
        ),
        _ => panic!("no TypeScript for {schema}"),
    }
}

fn named(name: &str, schema: &Value, indent: &str) -> String {
    match name {
        "integer" | "number" => "number".to_owned(),
        "boolean" | "null" | "string" => name.to_owned(),
        "array" => array(schema, indent),
        "object" => object(schema, indent),
        _ => panic!("no TypeScript for {schema}"),
    }
}

fn array(schema: &Value, indent: &str) -> String {
    if let Some(items) = schema["prefixItems"].as_array() {
        let items: Vec<String> = items.iter().map(|item| type_of(item, indent)).collect();
        return format!("[{}]", items.join(", "));
    }
    let item = type_of(&schema["items"], indent);
    match (schema["minItems"].as_u64(), schema["maxItems"].as_u64()) {
        (Some(least), Some(most)) if least == most => {
            format!("[{}]", vec![item; least as usize].join(", "))
        }
        _ if item.contains(" | ") => format!("({item})[]"),
        _ => format!("{item}[]"),
    }
}

fn object(schema: &Value, indent: &str) -> String {
    let Some(properties) = schema["properties"].as_object() else {
        return format!(
            "Record<string, {}>",
            type_of(&schema["additionalProperties"], indent)
        );
    };
    let required = schema["required"].as_array();
    let inner = format!("{indent}  ");
    let mut text = "{\n".to_owned();
    for (name, property) in properties {
        let always = required.is_some_and(|required| required.iter().any(|one| one == name));
        let mark = if always { "" } else { "?" };
        text.push_str(&comment(property, &inner));
        writeln!(text, "{inner}{name}{mark}: {};", type_of(property, &inner)).unwrap();
    }
    write!(text, "{indent}}}").unwrap();
    text
}

fn union(types: impl Iterator<Item = String>) -> String {
    types.collect::<Vec<_>>().join(" | ")
}

fn comment(schema: &Value, indent: &str) -> String {
    let Some(words) = schema["description"].as_str() else {
        return String::new();
    };
    // Links between Rust items lead nowhere here.
    let words = words.replace("[`", "`").replace("`]", "`");
    let lines: Vec<&str> = words.lines().collect();
    match lines[..] {
        [one] => format!("{indent}/** {one} */\n"),
        _ => {
            let mut text = format!("{indent}/**\n");
            for line in lines {
                writeln!(text, "{}", format!("{indent} * {line}").trim_end()).unwrap();
            }
            text + indent + " */\n"
        }
    }
}
