//! Findings in the Static Analysis Results Interchange Format (SARIF 2.1.0, an OASIS standard), for the tools that read it.

use std::collections::BTreeMap;

use percent_encoding::utf8_percent_encode;
use serde_json::{Value, json};

use super::tame::{escaped, tame};
use crate::manual::page_of;
use crate::source::{Code, Diagnostic, Files, Fix, IN_PATHS, Label, Severity, Span};

/// How such a log of ours begins.
pub const SARIF: &str = "{\n  \"$schema\": \"https://docs.oasis-open.org/sarif/";
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// A log of one run over some recipes, as text.
#[must_use]
pub fn sarif(found: &[(&Files, Vec<&Diagnostic>)]) -> String {
    let all = || found.iter().flat_map(|(files, of)| of.iter().map(move |finding| (*files, *finding)));
    let codes: BTreeMap<String, Code> =
        all().map(|(_, finding)| (finding.code.to_string(), finding.code)).collect();
    let rule = |code: &Code| {
        let page = page_of(*code);
        json!({
            "id": format!("heatbook::{code}"),
            "shortDescription": { "text": page.means },
            "help": { "text": format!("{} (heatbook explain {code})", page.why) },
        })
    };
    let log = json!({
        "version": "2.1.0",
        "$schema": SCHEMA,
        "runs": [{
            "tool": { "driver": {
                "name": "heatbook",
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "rules": codes.values().map(rule).collect::<Vec<_>>(),
            } },
            "columnKind": "unicodeCodePoints",
            "results": all().map(|(files, finding)| result(finding, files)).collect::<Vec<_>>(),
        }],
    });
    escaped(format!("{log:#}")) + "\n"
}

fn result(finding: &Diagnostic, files: &Files) -> Value {
    let mut message = tame(&finding.message);
    if let Some(first) = finding.labels.first().filter(|label| !label.text.is_empty()) {
        message += &format!(": {}", tame(&first.text));
    }
    if let Some(help) = &finding.help {
        message += &format!(" ({})", tame(help));
    }
    let related = |(id, label): (usize, &Label)| {
        json!({
            "id": id,
            "message": { "text": tame(&label.text) },
            "physicalLocation": physical(label.span, files),
        })
    };
    let change = |fix: &Fix| {
        json!({
            "artifactLocation": { "uri": uri(files.place(fix.span).file) },
            "replacements": [{
                "deletedRegion": region(fix.span, files),
                "insertedContent": { "text": fix.text },
            }],
        })
    };
    let changes: Vec<Value> =
        [&finding.fix, &finding.also].into_iter().flatten().map(|fix| change(fix)).collect();
    let fixes: Vec<Value> =
        (!changes.is_empty()).then(|| json!({ "artifactChanges": changes })).into_iter().collect();
    json!({
        "ruleId": format!("heatbook::{}", finding.code),
        "level": level(finding.severity()),
        "message": { "text": message },
        "locations": [{ "physicalLocation": physical(finding.span(), files) }],
        "relatedLocations": finding.labels.iter().enumerate().skip(1).map(related).collect::<Vec<_>>(),
        "fixes": fixes,
    })
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => "error",
        Severity::Warning => "warning",
    }
}

fn physical(span: Span, files: &Files) -> Value {
    json!({
        "artifactLocation": { "uri": uri(files.place(span).file) },
        "region": region(span, files),
    })
}

fn region(span: Span, files: &Files) -> Value {
    let (start, end) = (files.place(span), files.place(span.tail()));
    json!({
        "startLine": start.line,
        "startColumn": start.column,
        "endLine": end.line,
        "endColumn": end.column,
    })
}

/// A path as a reference by RFC 3986.
fn uri(path: &str) -> String {
    utf8_percent_encode(&path.replace('\\', "/"), IN_PATHS).to_string()
}
