//! Texts made of a description: limits, defaults, docstrings.

use proc_macro2::{TokenStream, TokenTree};
use quote::ToTokens as _;
use syn::Lit;

use crate::description::{Described, Kind};

/// Longest line of a docstring.
const WIDTH: usize = 116;

impl Described {
    /// Limits in words: `0.01 to 20`.
    pub fn limits_in_words(&self) -> Option<String> {
        match &self.range {
            Some((low, high)) => Some(format!("{} to {}", number(low), number(high))),
            None => self.limits.clone(),
        }
    }

    /// The default in words, if it is made of one literal.
    pub fn default_in_words(&self) -> Option<String> {
        self.default.as_ref().and_then(|default| first_literal(default.to_token_stream())).map(|lit| number(&lit))
    }

    /// The source with what it is worth.
    pub fn source_with_standing(&self) -> Option<String> {
        let (source, standing) = (self.source.as_ref()?, self.standing.as_ref()?);
        Some(match standing.as_str() {
            "published" | "definition" => source.clone(),
            _ => format!("{} ({standing}).", source.trim_end_matches('.')),
        })
    }

    /// The doc comment as it reads outside rustdoc.
    pub fn plain_doc(&self) -> String {
        self.doc.replace("\\[", "[").replace("\\]", "]")
    }

    /// What is appended to the doc comment for rustdoc.
    pub fn facts_for_rustdoc(&self) -> Option<String> {
        let mut found = Vec::new();
        if let Some(limits) = self.limits_in_words() {
            found.push(format!("Allowed: {limits}."));
        }
        if let Some(default) = self.default_in_words().or_else(|| self.default.as_ref().map(|_| String::new())) {
            let said = if default.is_empty() { String::new() } else { format!("{default}. ") };
            found.push(format!("Default: {said}{}", self.source_with_standing().unwrap_or_default()));
        } else if let Some(absent) = self.unset.as_ref().or(self.off.as_ref()) {
            found.push(format!("Without: {}.", absent.trim_end_matches('.')));
        }
        (!found.is_empty()).then(|| found.join(" "))
    }

    /// The text of a parameter in a docstring: meaning and unit, limits, default and where that comes from.
    pub fn parameter(&self) -> String {
        let doc = self.plain_doc();
        let end = [";", ":", " (", ". "].iter().filter_map(|mark| doc.find(mark)).min();
        let end = end.unwrap_or_else(|| doc.trim_end_matches('.').len());
        let (head, rest) = doc.split_at(end);
        let limits = self.limits_in_words().map(|limits| format!(", {limits}")).unwrap_or_default();
        let takes_none =
            self.default.is_some() && !self.in_signature && !matches!(self.kind, Kind::Choice | Kind::Flag);
        let default = match self.default_in_words() {
            Some(default) if takes_none => format!("; {default} if None"),
            _ => String::new(),
        };
        let mut text = format!("{head}{limits}{default}{rest}");
        if let Some(absent) = self.unset.as_ref().or(self.off.as_ref()).filter(|_| self.optional && !self.required) {
            text = format!("{text} If None: {}.", absent.trim_end_matches('.'));
        }
        match self.source_with_standing() {
            Some(source) if self.default.is_some() || self.unset.is_some() => text = format!("{text} Source: {source}"),
            _ => {}
        }
        text
    }
}

/// A text as lines of a docstring, each with a margin.
pub fn wrapped(text: &str, margin: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.len() + 1 + word.len() <= WIDTH => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(format!("{margin}{word}")),
        }
    }
    lines
}

/// A literal as a person would write it.
pub fn number(literal: &Lit) -> String {
    match literal {
        Lit::Float(found) => {
            let text = found.base10_digits();
            text.strip_suffix(".0").unwrap_or(text).to_string()
        }
        Lit::Int(found) => found.base10_digits().to_string(),
        Lit::Str(found) => format!("\"{}\"", found.value()),
        Lit::Bool(found) => if found.value { "True" } else { "False" }.to_string(),
        other => other.to_token_stream().to_string(),
    }
}

fn first_literal(tokens: TokenStream) -> Option<Lit> {
    tokens.into_iter().find_map(|token| match token {
        TokenTree::Literal(literal) => Some(Lit::new(literal)),
        TokenTree::Group(group) => first_literal(group.stream()),
        TokenTree::Ident(word) => match word.to_string().as_str() {
            "true" | "false" => Some(Lit::Bool(syn::LitBool::new(word == "true", word.span()))),
            _ => None,
        },
        TokenTree::Punct(_) => None,
    })
}
