//! Checks JSON against the part of JSON Schema (draft 2020-12) that our own
//! schemas use: a keyword that is not known here is an error, so that nothing
//! in a schema goes unchecked.

use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// A schema and everything it refers to.
#[derive(Debug, Clone)]
pub struct Schema {
    root: Value,
    /// Other schemas, by the name that this one has for them.
    beside: BTreeMap<String, Schema>,
}

impl Schema {
    /// A schema from its text.
    ///
    /// # Errors
    /// When the text is no JSON.
    pub fn parse(text: &str) -> Result<Self, serde_json::Error> {
        Ok(Self {
            root: serde_json::from_str(text)?,
            beside: BTreeMap::new(),
        })
    }

    /// The same with another schema that it refers to by this name.
    ///
    /// # Errors
    /// When the text is no JSON.
    pub fn beside(mut self, name: &str, text: &str) -> Result<Self, serde_json::Error> {
        self.beside.insert(name.to_owned(), Self::parse(text)?);
        Ok(self)
    }
}

/// Everything in `value` that the schema does not allow, each with its place.
#[must_use]
pub fn check(schema: &Schema, value: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    Checker {
        schema,
        wrong: &mut wrong,
    }
    .value(&schema.root, value, "$");
    wrong
}

struct Checker<'a> {
    schema: &'a Schema,
    wrong: &'a mut Vec<String>,
}

impl Checker<'_> {
    fn value(&mut self, schema: &Value, value: &Value, at: &str) {
        let Some(rules) = schema.as_object() else {
            self.say(at, "the schema here is no object");
            return;
        };
        for (word, rule) in rules {
            match word.as_str() {
                "$schema" | "$id" | "$defs" | "title" | "description" => {}
                "$ref" => self.refer(rule, value, at),
                "type" => self.kind(rule, value, at),
                "enum" => self.one_of_these(rule, value, at),
                "anyOf" => self.any_of(rule, value, at),
                "minimum" | "maximum" | "exclusiveMinimum" => self.bound(word, rule, value, at),
                "minItems" | "maxItems" => self.length(word, rule, value, at),
                "pattern" => self.hex(rule, value, at),
                "items" => self.items(rule, value, at),
                "properties" => self.properties(rule, value, at),
                "required" => self.required(rule, value, at),
                "additionalProperties" => self.additional(rules, rule, value, at),
                other => self.say(at, &format!("the checker does not know \"{other}\"")),
            }
        }
    }

    fn say(&mut self, at: &str, what: &str) {
        self.wrong.push(format!("{at}: {what}"));
    }

    fn refer(&mut self, rule: &Value, value: &Value, at: &str) {
        if let Some(other) = rule.as_str().and_then(|name| self.schema.beside.get(name)) {
            let inside = check(other, value);
            let here = inside.iter().map(|wrong| wrong.replacen('$', at, 1));
            self.wrong.extend(here);
            return;
        }
        let there = rule
            .as_str()
            .and_then(|text| text.strip_prefix('#'))
            .and_then(|pointer| self.schema.root.pointer(pointer));
        match there {
            Some(schema) => self.value(schema, value, at),
            None => self.say(
                at,
                &format!("the schema refers to {rule}, which is not there"),
            ),
        }
    }

    fn kind(&mut self, rule: &Value, value: &Value, at: &str) {
        let is = |name: &Value| match name.as_str() {
            Some("null") => value.is_null(),
            Some("boolean") => value.is_boolean(),
            Some("string") => value.is_string(),
            Some("number") => value.is_number(),
            Some("integer") => value.is_i64() || value.is_u64(),
            Some("array") => value.is_array(),
            Some("object") => value.is_object(),
            _ => false,
        };
        let holds = rule
            .as_array()
            .map_or_else(|| is(rule), |names| names.iter().any(is));
        if !holds {
            self.say(at, &format!("should be {rule}, but is {}", short(value)));
        }
    }

    fn one_of_these(&mut self, rule: &Value, value: &Value, at: &str) {
        if !rule.as_array().is_some_and(|all| all.contains(value)) {
            self.say(at, &format!("{} is not one of {rule}", short(value)));
        }
    }

    fn any_of(&mut self, rule: &Value, value: &Value, at: &str) {
        let mut all = Vec::new();
        for schema in rule.as_array().into_iter().flatten() {
            let mut wrong = Vec::new();
            Checker {
                schema: self.schema,
                wrong: &mut wrong,
            }
            .value(schema, value, at);
            if wrong.is_empty() {
                return;
            }
            all.extend(wrong);
        }
        self.say(at, &format!("fits no alternative: {}", all.join("; ")));
    }

    fn bound(&mut self, word: &str, rule: &Value, value: &Value, at: &str) {
        let (Some(limit), Some(number)) = (rule.as_f64(), value.as_f64()) else {
            return;
        };
        let holds = match word {
            "minimum" => number >= limit,
            "maximum" => number <= limit,
            _ => number > limit,
        };
        if !holds {
            self.say(at, &format!("{number} breaks {word} {limit}"));
        }
    }

    fn length(&mut self, word: &str, rule: &Value, value: &Value, at: &str) {
        let (Some(limit), Some(items)) = (rule.as_u64(), value.as_array()) else {
            return;
        };
        let count = items.len() as u64;
        let holds = if word == "minItems" {
            count >= limit
        } else {
            count <= limit
        };
        if !holds {
            self.say(at, &format!("{count} items break {word} {limit}"));
        }
    }

    /// The only pattern in use, so that no regular expressions are needed.
    fn hex(&mut self, rule: &Value, value: &Value, at: &str) {
        if rule.as_str() != Some("^[0-9a-f]{64}$") {
            self.say(at, &format!("the checker does not know the pattern {rule}"));
            return;
        }
        let holds = value.as_str().is_none_or(|text| {
            text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
        });
        if !holds {
            self.say(at, &format!("{} is not 64 hex digits", short(value)));
        }
    }

    fn items(&mut self, rule: &Value, value: &Value, at: &str) {
        for (nth, item) in value.as_array().into_iter().flatten().enumerate() {
            self.value(rule, item, &format!("{at}[{nth}]"));
        }
    }

    fn properties(&mut self, rule: &Value, value: &Value, at: &str) {
        let (Some(rules), Some(fields)) = (rule.as_object(), value.as_object()) else {
            return;
        };
        for (name, schema) in rules {
            if let Some(field) = fields.get(name) {
                self.value(schema, field, &format!("{at}.{name}"));
            }
        }
    }

    fn required(&mut self, rule: &Value, value: &Value, at: &str) {
        let Some(fields) = value.as_object() else {
            return;
        };
        for name in rule
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
        {
            if !fields.contains_key(name) {
                self.say(at, &format!("\"{name}\" is missing"));
            }
        }
    }

    fn additional(&mut self, rules: &Map<String, Value>, rule: &Value, value: &Value, at: &str) {
        if rule != &Value::Bool(false) {
            self.say(at, "the checker only knows additionalProperties false");
            return;
        }
        let known = rules.get("properties").and_then(Value::as_object);
        for name in value.as_object().into_iter().flat_map(Map::keys) {
            if !known.is_some_and(|known| known.contains_key(name)) {
                self.say(at, &format!("\"{name}\" is not in the schema"));
            }
        }
    }
}

fn short(value: &Value) -> String {
    let text = value.to_string();
    text.char_indices()
        .nth(60)
        .map_or(text.clone(), |(end, _)| format!("{}...", &text[..end]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn schema(value: &Value) -> Schema {
        Schema::parse(&value.to_string()).unwrap()
    }

    fn wrong(value: &Value) -> usize {
        let schema = schema(&json!({
            "type": "object",
            "required": ["count"],
            "additionalProperties": false,
            "properties": {
                "count": { "$ref": "#/$defs/count" },
                "class": { "enum": ["conifer"] },
                "place": { "anyOf": [
                    { "type": "null" },
                    { "type": "array", "items": { "type": "number" }, "minItems": 2, "maxItems": 2 }
                ] }
            },
            "$defs": { "count": { "type": ["integer", "null"], "minimum": 0 } }
        }));
        check(&schema, value).len()
    }

    #[test]
    fn what_fits_passes_and_what_does_not_is_reported() {
        for (value, count) in [
            (json!({ "count": 3 }), 0),
            (
                json!({ "count": null, "place": [1, 2.5], "class": "conifer" }),
                0,
            ),
            (json!({}), 1),
            (json!({ "count": 1.5 }), 1),
            (json!({ "count": -1 }), 1),
            (json!({ "count": 1, "more": 2 }), 1),
            (json!({ "count": 1, "place": [1] }), 1),
            (json!({ "count": 1, "class": "oak" }), 1),
            (json!(7), 1),
        ] {
            assert_eq!(wrong(&value), count, "{value}");
        }
    }

    #[test]
    fn a_keyword_that_is_not_checked_is_an_error() {
        let schema = schema(&json!({ "multipleOf": 2 }));
        assert_eq!(check(&schema, &json!(3)).len(), 1);
    }
}
