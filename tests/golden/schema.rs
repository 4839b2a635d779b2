//! `assets/placements.schema.json` against what is written, by a checker of the few words the schema uses.

use serde_json::Value;
use stonehand::formats::write::{PlacementsBounds, placements, placements_json};

use crate::fixture::Fixture;

fn schema() -> Value {
    serde_json::from_str(include_str!("../../assets/placements.schema.json")).expect("the schema is JSON")
}

fn is(value: &Value, kind: &str) -> bool {
    match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        "integer" => value.is_u64() || value.is_i64(),
        "number" => value.is_number(),
        other => panic!("the schema uses a type that this checker does not know: {other}"),
    }
}

/// All breaches, with their place. JSON Schema 2020-12, the words that the schema uses; others make the test fail.
fn check(root: &Value, schema: &Value, value: &Value, place: &str, out: &mut Vec<String>) {
    for (word, rule) in schema.as_object().expect("a schema is an object") {
        match word.as_str() {
            "$ref" => {
                let pointer = rule.as_str().and_then(|r| r.strip_prefix('#')).expect("a local reference");
                check(root, root.pointer(pointer).expect("the reference leads somewhere"), value, place, out);
            }
            "type" => {
                let kinds: Vec<&str> = match rule {
                    Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).collect(),
                    one => one.as_str().into_iter().collect(),
                };
                if !kinds.iter().any(|k| is(value, k)) {
                    out.push(format!("{place}: not {kinds:?}"));
                }
            }
            "const" if value != rule => out.push(format!("{place}: not {rule}")),
            "enum" if !rule.as_array().is_some_and(|all| all.contains(value)) => {
                out.push(format!("{place}: not in {rule}"));
            }
            // Not rules, or rules that hold.
            "$schema" | "title" | "description" | "$defs" | "const" | "enum" => {}
            "required" => {
                if let Some(object) = value.as_object() {
                    for key in rule.as_array().into_iter().flatten().filter_map(Value::as_str) {
                        if !object.contains_key(key) {
                            out.push(format!("{place}: lacks {key}"));
                        }
                    }
                }
            }
            "properties" => {
                for (key, sub) in rule.as_object().into_iter().flatten() {
                    if let Some(v) = value.get(key) {
                        check(root, sub, v, &format!("{place}/{key}"), out);
                    }
                }
            }
            "items" => {
                for (i, v) in value.as_array().into_iter().flatten().enumerate() {
                    check(root, rule, v, &format!("{place}/{i}"), out);
                }
            }
            "minItems" | "maxItems" => {
                if let (Some(list), Some(n)) = (value.as_array(), rule.as_u64()) {
                    let n = n as usize;
                    if (word == "minItems" && list.len() < n) || (word == "maxItems" && list.len() > n) {
                        out.push(format!("{place}: {} items", list.len()));
                    }
                }
            }
            "minimum" => {
                if value.as_f64().zip(rule.as_f64()).is_some_and(|(v, least)| v < least) {
                    out.push(format!("{place}: below {rule}"));
                }
            }
            other => panic!("the schema uses a word that this checker does not know: {other}"),
        }
    }
}

fn breaches(value: &Value) -> Vec<String> {
    let (root, mut out) = (schema(), Vec::new());
    check(&root, &root, value, "", &mut out);
    out
}

fn written() -> Value {
    let f = Fixture::new();
    let p = placements(&f.job, &f.shapes, None, &PlacementsBounds::default()).with_times(|_| Some(Fixture::time()));
    serde_json::from_slice(&placements_json(&p).expect("writable")).expect("JSON")
}

#[test]
fn what_is_written_keeps_to_the_schema() {
    assert_eq!(breaches(&written()), Vec::<String>::new());
    let mut not_estimated = written();
    for key in ["time_s", "mass_g", "items"] {
        not_estimated["plates"][0][key] = Value::Null;
    }
    assert_eq!(breaches(&not_estimated), Vec::<String>::new());
}

#[test]
fn every_key_that_is_written_is_described_and_required() {
    fn walk(root: &Value, schema: &Value, value: &Value, place: &str) {
        let schema = match schema.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix('#')) {
            Some(pointer) => root.pointer(pointer).expect("the reference leads somewhere"),
            None => schema,
        };
        match value {
            Value::Object(map) => {
                let required: Vec<&str> =
                    schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
                for (key, v) in map {
                    assert!(required.contains(&key.as_str()), "{place}/{key} is not required");
                    let sub = schema["properties"].get(key).unwrap_or_else(|| panic!("{place}/{key} is not described"));
                    walk(root, sub, v, &format!("{place}/{key}"));
                }
            }
            Value::Array(list) => list.iter().for_each(|v| walk(root, &schema["items"], v, place)),
            _ => {}
        }
    }
    walk(&schema(), &schema(), &written(), "");
}

#[test]
fn the_schema_refuses_what_is_wrong() {
    let planted: [(&str, Value); 8] = [
        ("/plates/0/copies/0/matrix", serde_json::json!([1, 0, 0])),
        ("/plates/0/copies/0/x_mm", serde_json::json!("60,0")),
        ("/plates/0/copies/0/file_unit", serde_json::json!("mile")),
        ("/plates/0/copies/0/footing/kind", serde_json::json!("skirt")),
        ("/version", serde_json::json!(2)),
        ("/margins/gap_mm", serde_json::json!(-1)),
        ("/plates/0/time_s", serde_json::json!("an hour")),
        ("/plates/0/items/walls_s", serde_json::json!(-1)),
    ];
    for (place, wrong) in planted {
        let mut value = written();
        *value.pointer_mut(place).expect("is there") = wrong;
        assert_eq!(breaches(&value).len(), 1, "{place}");
    }
    let mut value = written();
    value.as_object_mut().expect("an object").remove("plates");
    assert_eq!(breaches(&value).len(), 1);
}
