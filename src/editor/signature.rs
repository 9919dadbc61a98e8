//! What a call takes, told while it is written.

use lsp_types::{
    Documentation, MarkupContent, MarkupKind, ParameterInformation, ParameterLabel, SignatureHelp,
    SignatureHelpParams, SignatureInformation,
};

use crate::replay::{ParamDoc, RecipeDoc};

use super::context::{Context, context};
use super::documents::View;

/// A call that is being written: the name before its bracket, and the words behind that.
pub struct Called<'t> {
    pub name: &'t str,
    pub given: Vec<&'t str>,
}

/// The call whose bracket is open at a place.
pub fn called<'t>(at: &Context<'t>) -> Option<Called<'t>> {
    let mut open: Vec<usize> = Vec::new();
    for (i, word) in at.words.iter().enumerate() {
        match *word {
            "(" => open.push(i),
            ")" => _ = open.pop(),
            _ => {}
        }
    }
    // Brackets of a sum stand inside those of the call.
    let bracket = open.first().copied()?;
    let name = at.words.get(bracket.checked_sub(1)?).copied()?;
    Some(Called { name, given: at.words.get(bracket + 1..)?.to_vec() })
}

/// The recipe that is called at a place, with its parameters; the one that is being given stands out.
pub fn help(view: &View, asked: &SignatureHelpParams) -> Option<SignatureHelp> {
    let offset = view.text.offset(asked.text_document_position_params.position);
    let at = context(view, offset)?;
    let first = at.words.first().copied()?;
    let call = called(&at).filter(|_| first != "recipe")?;
    let recipe = view.analysis.plan.recipes.iter().find(|r| r.name == call.name)?;
    let shown: Vec<String> = recipe.params.iter().map(|p| param(view, p)).collect();
    let parameters = recipe.params.iter().zip(&shown).map(|(p, shown)| ParameterInformation {
        label: ParameterLabel::Simple(shown.clone()),
        documentation: markup(&p.doc),
    });
    let begun = view.text.text.get(at.start..offset).unwrap_or("");
    let active = active(recipe, &call, at.comma, begun);
    Some(SignatureHelp {
        signatures: vec![SignatureInformation {
            label: format!("{}({})", recipe.name, shown.join(", ")),
            documentation: markup(&recipe.doc),
            parameters: Some(parameters.collect()),
            active_parameter: active,
        }],
        active_signature: Some(0),
        active_parameter: active,
    })
}

/// The number of the parameter that is being given: the one whose name stands before the last `=`, or else the first that is
/// not given yet and begins as the word that is being written.
fn active(recipe: &RecipeDoc, call: &Called, comma: bool, begun: &str) -> Option<u32> {
    let named: Vec<&str> = call
        .given
        .windows(2)
        .filter_map(|pair| if let [name, "="] = pair { Some(*name) } else { None })
        .collect();
    let number = |at: usize| u32::try_from(at).ok();
    if let Some(last) = named.last().filter(|_| !comma) {
        return number(recipe.params.iter().position(|p| p.name == *last)?);
    }
    let left = |p: &ParamDoc| !named.contains(&p.name.as_str());
    let fits = |p: &ParamDoc| left(p) && p.name.starts_with(begun);
    number(recipe.params.iter().position(fits).or_else(|| recipe.params.iter().position(left))?)
}

/// A parameter as the head of its recipe has it.
pub fn param(view: &View, param: &ParamDoc) -> String {
    let default = param.default.map(|span| format!(" = {}", view.analysis.files.text(span).trim()));
    format!("{}: {}{}", param.name, param.kind, default.unwrap_or_default())
}

fn markup(doc: &str) -> Option<Documentation> {
    let content = MarkupContent { kind: MarkupKind::Markdown, value: doc.to_owned() };
    (!doc.is_empty()).then_some(Documentation::MarkupContent(content))
}
