//! The description of a struct of inputs, as its attributes say it.

use proc_macro2::{Span, TokenStream};
use syn::meta::ParseNestedMeta;
use syn::parse::Parser as _;
use syn::{Attribute, Error, Expr, Field, Fields, Ident, ItemStruct, Lit, LitStr, Result, Type};

/// A struct of inputs.
pub struct Inputs {
    /// The struct as it was written, with its `#[field]` attributes.
    pub item: ItemStruct,
    pub arguments: TokenStream,
    /// What stands before a field's name in its dotted name; empty for the case itself.
    pub part: String,
    /// What a constructor takes by position.
    pub positional: Vec<Ident>,
    pub fields: Vec<Described>,
}

/// What a field holds.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Number,
    Whole,
    Flag,
    Text,
    Choice,
    ByIon,
    Part,
    Other,
}

/// Whether a field is left out where it has its default.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Quiet {
    No,
    InFilesAndRepr,
    InRepr,
}

/// One name of a choice.
pub struct Choice {
    pub name: String,
    pub source: String,
    pub standing: String,
}

/// One field with what is said of it.
pub struct Described {
    pub name: Ident,
    pub field: Field,
    pub kind: Kind,
    pub optional: bool,
    pub doc: String,
    pub words: Option<String>,
    pub unit: Option<String>,
    pub in_errors: Option<String>,
    pub range: Option<(Lit, Lit)>,
    /// The group it is checked with, after the ranges.
    pub late: Option<String>,
    pub limits: Option<String>,
    pub default: Option<Expr>,
    pub source: Option<String>,
    pub standing: Option<String>,
    pub choices: Vec<Choice>,
    pub off: Option<String>,
    pub unset: Option<String>,
    pub acts: Option<String>,
    pub unless: Option<String>,
    pub unit_of: Option<String>,
    pub each: Option<(String, String)>,
    pub required: bool,
    pub quiet: Quiet,
    pub sample: Option<Lit>,
    pub needs: Vec<Ident>,
    pub in_signature: bool,
    pub computed: bool,
    pub python_type: Option<String>,
    pub fixed: Option<Expr>,
}

/// What may be said of a default, worst last.
pub const STANDINGS: [(&str, &str); 5] = [
    ("published", "Published"),
    ("from memory", "FromMemory"),
    ("common practice, no source", "CommonPractice"),
    ("choice, no source", "Choice"),
    ("definition", "Definition"),
];

/// The description of `item`, on which the attribute stands with `arguments`.
pub fn of_attribute(arguments: TokenStream, item: TokenStream) -> Result<Inputs> {
    let item: ItemStruct = syn::parse2(item)?;
    let (mut part, mut positional, mut source, mut standing) = (None, Vec::new(), None, None);
    let parser = syn::meta::parser(|meta| {
        if meta.path.is_ident("part") {
            part = Some(text(&meta)?);
        } else if meta.path.is_ident("positional") {
            positional = idents(&meta)?;
        } else if meta.path.is_ident("source") {
            source = Some(text(&meta)?);
        } else if meta.path.is_ident("standing") {
            standing = Some(text(&meta)?);
        } else {
            return Err(meta.error("not known here: part, positional, source, standing"));
        }
        Ok(())
    });
    parser.parse2(arguments.clone())?;
    let part =
        part.ok_or_else(|| Error::new(Span::call_site(), "part is missing: the dotted name before a field's"))?;
    let Fields::Named(named) = &item.fields else {
        return Err(Error::new_spanned(&item.ident, "inputs have named fields"));
    };
    let mut fields = Vec::new();
    for field in &named.named {
        let mut found = described(field)?;
        let asks_for_source = found.source.is_none() && found.words.is_some() && !found.must_be_given();
        if asks_for_source {
            found.source.clone_from(&source);
            found.standing = found.standing.or_else(|| standing.clone());
        }
        found.check()?;
        fields.push(found);
    }
    for name in &positional {
        if !fields.iter().any(|field| field.name == *name) {
            return Err(Error::new_spanned(name, "no such field"));
        }
    }
    Ok(Inputs { item, arguments, part, positional, fields })
}

impl Inputs {
    /// Fields that are inputs, positional ones first.
    pub fn in_order(&self) -> Vec<&Described> {
        let by_position =
            self.positional.iter().filter_map(|name| self.fields.iter().find(|field| field.name == *name));
        let others = self.fields.iter().filter(|field| !self.is_positional(field) && field.fixed.is_none());
        by_position.chain(others).collect()
    }

    pub fn is_positional(&self, field: &Described) -> bool {
        self.positional.contains(&field.name)
    }
}

impl Described {
    /// Must it be given, there being neither a default nor another way?
    pub fn must_be_given(&self) -> bool {
        self.required || (!self.optional && self.default.is_none() && self.fixed.is_none())
    }

    /// The text of a choice's default.
    pub fn default_name(&self) -> Option<String> {
        match &self.default {
            Some(Expr::Lit(found)) => match &found.lit {
                Lit::Str(name) => Some(name.value()),
                _ => None,
            },
            _ => None,
        }
    }

    fn check(&self) -> Result<()> {
        let refuse = |what: &str| Err(Error::new_spanned(&self.name, what));
        if self.fixed.is_some() {
            return Ok(());
        }
        if self.words.is_none() && self.each.is_none() {
            return if self.kind == Kind::Part {
                Ok(())
            } else {
                refuse("words are missing: what it is called in a report")
            };
        }
        if self.kind == Kind::Number && self.unit.is_none() {
            return refuse("unit is missing; \"none\" for a bare number");
        }
        if self.words.is_some() && !self.must_be_given() && (self.source.is_none() || self.standing.is_none()) {
            return refuse("source and standing are missing: where the default comes from, or what its absence means");
        }
        for standing in self.standing.iter().chain(self.choices.iter().map(|choice| &choice.standing)) {
            if !standing.is_empty() && !STANDINGS.iter().any(|(words, _)| words == standing) {
                return refuse(
                    "standing must be one of published, from memory, common practice, no source, choice, no source, definition",
                );
            }
        }
        if self.kind == Kind::Choice
            && self.default.is_some()
            && !self.choices.iter().any(|choice| Some(&choice.name) == self.default_name().as_ref())
        {
            return refuse("the default of a choice is one of its names");
        }
        if self.late.is_some() && self.range.is_none() {
            return refuse("late belongs to a range");
        }
        if self.doc.is_empty() {
            return refuse("a doc comment is missing");
        }
        Ok(())
    }
}

fn described(field: &Field) -> Result<Described> {
    let name = field.ident.clone().ok_or_else(|| Error::new_spanned(field, "inputs have named fields"))?;
    let (inner, optional) = match inner_of(&field.ty, "Option") {
        Some(inner) => (inner.clone(), true),
        None => (field.ty.clone(), false),
    };
    let mut found = Described {
        name,
        field: field.clone(),
        kind: kind_of(&inner),
        optional,
        doc: doc_of(&field.attrs),
        words: None,
        unit: None,
        in_errors: None,
        range: None,
        late: None,
        limits: None,
        default: None,
        source: None,
        standing: None,
        choices: Vec::new(),
        off: None,
        unset: None,
        acts: None,
        unless: None,
        unit_of: None,
        each: None,
        required: false,
        quiet: Quiet::No,
        sample: None,
        needs: Vec::new(),
        in_signature: false,
        computed: false,
        python_type: None,
        fixed: None,
    };
    for attribute in field.attrs.iter().filter(|attribute| attribute.path().is_ident("field")) {
        attribute.parse_nested_meta(|meta| found.say(&meta))?;
    }
    Ok(found)
}

impl Described {
    /// Take one key of `#[field(...)]`.
    fn say(&mut self, meta: &ParseNestedMeta<'_>) -> Result<()> {
        let Some(key) = meta.path.get_ident().map(ToString::to_string) else {
            return Err(meta.error("a key is one word"));
        };
        match key.as_str() {
            "words" => self.words = Some(text(meta)?),
            "unit" => self.unit = Some(text(meta)?),
            "in_errors" => self.in_errors = Some(text(meta)?),
            "limits" => self.limits = Some(text(meta)?),
            "source" => self.source = Some(text(meta)?),
            "standing" => self.standing = Some(text(meta)?),
            "off" => self.off = Some(text(meta)?),
            "unset" => self.unset = Some(text(meta)?),
            "acts" => self.acts = Some(text(meta)?),
            "unless" => self.unless = Some(text(meta)?),
            "unit_of" => self.unit_of = Some(text(meta)?),
            "python_type" => self.python_type = Some(text(meta)?),
            "default" => self.default = Some(meta.value()?.parse()?),
            "fixed" => self.fixed = Some(meta.value()?.parse()?),
            "sample" => self.sample = Some(meta.value()?.parse()?),
            "range" => self.range = Some(range(meta)?),
            "needs" => self.needs = idents(meta)?,
            "late" => self.late = Some(text(meta)?),
            "required" => self.required = true,
            "in_signature" => self.in_signature = true,
            "computed" => self.computed = true,
            "part" => self.kind = Kind::Part,
            "quiet" if meta.input.peek(syn::Token![=]) => {
                self.quiet = match text(meta)?.as_str() {
                    "repr" => Quiet::InRepr,
                    _ => return Err(meta.error("quiet, or quiet = \"repr\"")),
                }
            }
            "quiet" => self.quiet = Quiet::InFilesAndRepr,
            "each" => self.each = Some(each(meta)?),
            "choices" => {
                self.kind = Kind::Choice;
                self.choices = choices(meta)?;
            }
            _ => return Err(meta.error("no such key of a field")),
        }
        Ok(())
    }
}

fn text(meta: &ParseNestedMeta<'_>) -> Result<String> {
    Ok(meta.value()?.parse::<LitStr>()?.value())
}

fn idents(meta: &ParseNestedMeta<'_>) -> Result<Vec<Ident>> {
    let mut found = Vec::new();
    meta.parse_nested_meta(|inner| {
        found.extend(inner.path.get_ident().cloned());
        Ok(())
    })?;
    Ok(found)
}

/// Literal ends of a closed range, so that they can be shown.
fn range(meta: &ParseNestedMeta<'_>) -> Result<(Lit, Lit)> {
    let expression: Expr = meta.value()?.parse()?;
    if let Expr::Range(found) = &expression
        && let (Some(Expr::Lit(low)), Some(Expr::Lit(high))) = (found.start.as_deref(), found.end.as_deref())
    {
        return Ok((low.lit.clone(), high.lit.clone()));
    }
    Err(Error::new_spanned(expression, "a range is low..=high, two numbers"))
}

fn each(meta: &ParseNestedMeta<'_>) -> Result<(String, String)> {
    let (mut words, mut unit) = (String::new(), String::new());
    meta.parse_nested_meta(|inner| {
        if inner.path.is_ident("words") {
            words = text(&inner)?;
        } else if inner.path.is_ident("unit") {
            unit = text(&inner)?;
        } else {
            return Err(inner.error("each(words = ..., unit = ...)"));
        }
        Ok(())
    })?;
    Ok((words, unit))
}

fn choices(meta: &ParseNestedMeta<'_>) -> Result<Vec<Choice>> {
    let content;
    syn::parenthesized!(content in meta.input);
    let mut found = Vec::new();
    while !content.is_empty() {
        let name = content.parse::<LitStr>()?.value();
        let mut choice = Choice { name, source: String::new(), standing: String::new() };
        if content.peek(syn::token::Paren) {
            let inner;
            syn::parenthesized!(inner in content);
            choice.source = inner.parse::<LitStr>()?.value();
            inner.parse::<syn::Token![,]>()?;
            choice.standing = inner.parse::<LitStr>()?.value();
        }
        found.push(choice);
        if !content.is_empty() {
            content.parse::<syn::Token![,]>()?;
        }
    }
    Ok(found)
}

/// `T` of `Name<T>`.
pub fn inner_of<'a>(found: &'a Type, name: &str) -> Option<&'a Type> {
    let Type::Path(path) = found else { return None };
    let last = path.path.segments.last()?;
    let syn::PathArguments::AngleBracketed(arguments) = &last.arguments else { return None };
    match arguments.args.first() {
        Some(syn::GenericArgument::Type(inner)) if last.ident == name => Some(inner),
        _ => None,
    }
}

/// What a type holds; an enumeration says so by its `choices`.
fn kind_of(found: &Type) -> Kind {
    let Type::Path(path) = found else { return Kind::Other };
    match path.path.segments.last().map(|segment| segment.ident.to_string()).as_deref() {
        Some("f64") => Kind::Number,
        Some("usize") => Kind::Whole,
        Some("bool") => Kind::Flag,
        Some("String") => Kind::Text,
        Some("BTreeMap") => Kind::ByIon,
        _ => Kind::Other,
    }
}

/// The text of a doc comment in one line a paragraph.
pub fn doc_of(attributes: &[Attribute]) -> String {
    let lines: Vec<String> = attributes
        .iter()
        .filter(|attribute| attribute.path().is_ident("doc"))
        .map(|attribute| doc_line(attribute).trim().to_string())
        .collect();
    lines.join(" ").trim().to_string()
}

/// One line of a doc comment, without the space that it begins with.
pub fn doc_line(attribute: &Attribute) -> String {
    if let syn::Meta::NameValue(found) = &attribute.meta
        && let Expr::Lit(found) = &found.value
        && let Lit::Str(text) = &found.lit
    {
        let line = text.value();
        return line.strip_prefix(' ').unwrap_or(&line).to_string();
    }
    String::new()
}
