//! What the crate itself gets of a description: serde's attributes, defaults, range checks, records, and the macro that
//! hands the description over to other crates.

use proc_macro2::{Span, TokenStream};
use quote::{format_ident, quote};
use syn::{Ident, Lit};

use crate::description::{Described, Inputs, Kind, Quiet, STANDINGS, inner_of};

/// The struct and everything that follows from its description.
pub fn written(inputs: &Inputs) -> TokenStream {
    let item = with_attributes(inputs);
    let name = &inputs.item.ident;
    let records: Vec<_> = inputs.fields.iter().flat_map(|field| records(inputs, field)).collect();
    let defaults: Vec<_> = inputs.fields.iter().map(default_of).collect();
    let constructor = constructor(inputs);
    let checks = checks(inputs);
    let handed_over = handed_over(inputs);
    let choices = inputs.fields.iter().filter(|field| field.kind == Kind::Choice).map(choices_are_names);
    quote! {
        #item

        impl #name {
            /// What is said of each field.
            pub const FIELDS: &'static [crate::inputs::field::Field] = &[#(#records),*];
            #(#defaults)*
            #checks
        }

        #constructor

        #(#choices)*

        #handed_over
    }
}

/// The struct with serde's attributes and fuller doc comments in the place of `#[field]`.
fn with_attributes(inputs: &Inputs) -> TokenStream {
    let mut item = inputs.item.clone();
    let owner = inputs.item.ident.to_string();
    if let syn::Fields::Named(named) = &mut item.fields {
        for (field, described) in named.named.iter_mut().zip(&inputs.fields) {
            field.attrs.retain(|attribute| !attribute.path().is_ident("field"));
            if let Some(facts) = described.facts_for_rustdoc() {
                let facts = facts.replace('[', "\\[").replace(']', "\\]");
                field.attrs.push(syn::parse_quote!(#[doc = ""]));
                field.attrs.push(syn::parse_quote!(#[doc = #facts]));
            }
            if described.default.is_some() {
                let path = format!("{owner}::{}", default_name(described));
                field.attrs.push(syn::parse_quote!(#[serde(default = #path)]));
                if described.quiet == Quiet::InFilesAndRepr {
                    let path = format!("{owner}::{}", is_default_name(described));
                    field.attrs.push(syn::parse_quote!(#[serde(skip_serializing_if = #path)]));
                }
            } else if described.optional {
                field.attrs.push(syn::parse_quote!(#[serde(default, skip_serializing_if = "Option::is_none")]));
            }
        }
    }
    // Behind the derive that knows it.
    item.attrs.push(syn::parse_quote!(#[serde(deny_unknown_fields)]));
    quote!(#item)
}

fn default_name(field: &Described) -> Ident {
    format_ident!("default_of_{}", field.name)
}

fn is_default_name(field: &Described) -> Ident {
    format_ident!("is_default_of_{}", field.name)
}

/// The default as the crate has it: of a choice, its type's own.
fn default_value(field: &Described) -> TokenStream {
    match (field.default.as_ref().or(field.fixed.as_ref()), field.kind) {
        (Some(_), Kind::Choice) => quote!(::std::default::Default::default()),
        (Some(default), _) => quote!(#default),
        (None, _) => quote!(::std::default::Default::default()),
    }
}

fn default_of(field: &Described) -> TokenStream {
    if field.default.is_none() && field.fixed.is_none() {
        return TokenStream::new();
    }
    let (name, of, value) = (default_name(field), &field.field.ty, default_value(field));
    let doc = format!("Default of `{}`.", field.name);
    let compared = (field.quiet == Quiet::InFilesAndRepr).then(|| {
        let compared = is_default_name(field);
        quote! {
            fn #compared(value: &#of) -> bool {
                *value == Self::#name()
            }
        }
    });
    quote! {
        #[doc = #doc]
        #[must_use]
        pub fn #name() -> #of {
            #value
        }
        #compared
    }
}

/// `Default` where every field has one, else `new` with what is taken by position.
fn constructor(inputs: &Inputs) -> TokenStream {
    let owner = &inputs.item.ident;
    let complete =
        !inputs.fields.iter().any(|field| !field.optional && field.default.is_none() && field.fixed.is_none());
    let values = |taken: &dyn Fn(&Described) -> bool| -> Vec<TokenStream> {
        inputs
            .fields
            .iter()
            .map(|field| {
                let name = &field.name;
                let default = default_name(field);
                match &field.fixed {
                    _ if taken(field) => quote!(#name),
                    Some(fixed) => quote!(#name: #fixed),
                    None if field.default.is_some() => quote!(#name: Self::#default()),
                    None => quote!(#name: ::std::default::Default::default()),
                }
            })
            .collect()
    };
    if complete {
        let values = values(&|_| false);
        return quote! {
            impl ::std::default::Default for #owner {
                fn default() -> Self {
                    Self { #(#values),* }
                }
            }
        };
    }
    let values = values(&|field| inputs.is_positional(field));
    let taken = inputs.positional.iter().filter_map(|name| {
        let of = &inputs.fields.iter().find(|field| field.name == *name)?.field.ty;
        Some(quote!(#name: #of))
    });
    quote! {
        impl #owner {
            /// With everything else at its default.
            #[must_use]
            pub fn new(#(#taken),*) -> Self {
                Self { #(#values),* }
            }
        }
    }
}

/// `check_ranges`, and a check of each group that comes later.
fn checks(inputs: &Inputs) -> TokenStream {
    let placed = inputs.part.contains('*');
    let place = if placed { quote!(, place: &str) } else { TokenStream::new() };
    let name_of = |name: &str| match (placed, inputs.part.as_str()) {
        (true, _) => quote!(&format!("{place}.{}", #name)),
        (false, "") => quote!(#name),
        (false, part) => {
            let dotted = format!("{part}.{name}");
            quote!(#dotted)
        }
    };
    let mut groups: Vec<Option<&String>> = vec![None];
    for field in &inputs.fields {
        if !groups.contains(&field.late.as_ref()) {
            groups.push(field.late.as_ref());
        }
    }
    groups
        .into_iter()
        .map(|group| {
            let mine = inputs.fields.iter().filter(|field| field.late.as_ref() == group);
            let checked: Vec<_> = mine.filter_map(|field| check(field, &name_of)).collect();
            if checked.is_empty() {
                return TokenStream::new();
            }
            let name = format_ident!("check_{}", group.map_or("ranges", |group| group));
            quote! {
                /// Check that fields are within their ranges.
                pub(super) fn #name(&self #place) -> crate::error::Result<()> {
                    #(#checked)*
                    Ok(())
                }
            }
        })
        .collect()
}

fn check(field: &Described, name_of: &dyn Fn(&str) -> TokenStream) -> Option<TokenStream> {
    let (low, high) = field.range.as_ref()?;
    let (name, dotted) = (&field.name, name_of(&field.name.to_string()));
    let unit =
        field.in_errors.as_ref().or(field.unit.as_ref()).filter(|unit| *unit != "none").cloned().unwrap_or_default();
    let (low, high) = (as_float(low, field.kind), as_float(high, field.kind));
    let check = quote!(crate::inputs::check);
    Some(match (field.kind, field.optional) {
        (Kind::Whole, false) => quote!(#check::whole_within(#dotted, self.#name, #low, #high)?;),
        (_, true) => quote!(#check::within_if(#dotted, self.#name, #low, #high, #unit)?;),
        _ => quote!(#check::within(#dotted, self.#name, #low, #high, #unit)?;),
    })
}

/// A literal of a range as the field's own type has it.
fn as_float(literal: &Lit, kind: Kind) -> TokenStream {
    match (literal, kind) {
        (Lit::Int(found), Kind::Number) => {
            let text = syn::LitFloat::new(&format!("{}.0", found.base10_digits()), Span::call_site());
            quote!(#text)
        }
        _ => quote!(#literal),
    }
}

/// The choices of a field are the names of its type, all of them and in their order.
fn choices_are_names(field: &Described) -> TokenStream {
    let of = inner_of(&field.field.ty, "Option").unwrap_or(&field.field.ty);
    let names = field.choices.iter().map(|choice| &choice.name);
    let refusal = format!("the choices of `{}` are not the names of its type", field.name);
    quote!(
        const _: () = assert!(crate::inputs::check::same_names(<#of>::NAMES, &[#(#names),*]), #refusal);
    )
}

/// The records of a field: its own, and that of an item of its mapping.
fn records(inputs: &Inputs, field: &Described) -> Vec<TokenStream> {
    if field.fixed.is_some() || (field.words.is_none() && field.each.is_none()) {
        return Vec::new();
    }
    let mut found = Vec::new();
    if field.words.is_some() {
        found.push(record(inputs, field, None));
    }
    if field.each.is_some() {
        found.push(record(inputs, field, field.each.as_ref()));
    }
    found
}

fn record(inputs: &Inputs, field: &Described, each: Option<&(String, String)>) -> TokenStream {
    let some = |text: &Option<String>| match text {
        Some(text) => quote!(Some(#text)),
        None => quote!(None),
    };
    let dotted =
        if inputs.part.is_empty() { field.name.to_string() } else { format!("{}.{}", inputs.part, field.name) };
    let (name, words, unit) = match each {
        Some((words, unit)) => {
            (format!("{dotted}.*"), words.clone(), Some(unit.clone()).filter(|unit| !unit.is_empty()))
        }
        None => (dotted, field.words.clone().unwrap_or_default(), field.unit.clone().filter(|unit| unit != "none")),
    };
    let alone = each.is_none();
    let own = |text: &Option<String>| if alone { some(text) } else { quote!(None) };
    let kind = format_ident!(
        "{}",
        match field.kind {
            _ if each.is_some() => "Number",
            Kind::Number => "Number",
            Kind::Whole => "Whole",
            Kind::Flag => "Flag",
            Kind::Text => "Text",
            Kind::Choice => "Choice",
            Kind::ByIon => "ByIon",
            Kind::Part => "Part",
            Kind::Other => "Other",
        }
    );
    let doc = field.plain_doc();
    let owner = inputs.item.ident.to_string();
    let (unit, limits) = (some(&unit), own(&field.limits_in_words()));
    let (source, standing) = (own(&field.source), standing(if alone { field.standing.as_deref() } else { None }));
    let (off, unset, acts) = (own(&field.off), own(&field.unset), own(&field.acts));
    let (unless, unit_of) = (own(&field.unless), some(&field.unit_of));
    let required = if alone { field.must_be_given() && field.source.is_none() } else { true };
    let range = match (&field.range, alone) {
        (Some((low, high)), true) => {
            let (low, high) = (as_float(low, Kind::Number), as_float(high, Kind::Number));
            quote!(Some((#low, #high)))
        }
        _ => quote!(None),
    };
    let default = match (&field.default, alone) {
        (Some(_), true) => {
            let of = default_name(field);
            quote!(Some(|| ::serde_json::to_value(Self::#of()).unwrap_or_default()))
        }
        _ => quote!(None),
    };
    let choices = field.choices.iter().map(|choice| {
        let (name, source) = (&choice.name, &choice.source);
        let standing = self::standing(Some(choice.standing.as_str()).filter(|standing| !standing.is_empty()));
        quote!(crate::inputs::field::Named { name: #name, source: #source, standing: #standing })
    });
    let sample = match (&field.sample, alone) {
        (Some(sample), true) => {
            let text = as_json(sample);
            quote!(Some(#text))
        }
        _ => quote!(None),
    };
    let needs = field.needs.iter().map(ToString::to_string).filter(|_| alone);
    quote! {
        crate::inputs::field::Field {
            owner: #owner, name: #name, kind: crate::inputs::field::Kind::#kind, doc: #doc, words: #words, unit: #unit,
            range: #range, limits: #limits, default: #default, source: #source, standing: #standing, off: #off,
            unset: #unset, acts: #acts, unless: #unless, unit_of: #unit_of, required: #required,
            choices: &[#(#choices),*], sample: #sample, needs: &[#(#needs),*],
        }
    }
}

fn standing(words: Option<&str>) -> TokenStream {
    match words.and_then(|words| STANDINGS.iter().find(|(known, _)| *known == words)) {
        Some((_, variant)) => {
            let variant = format_ident!("{variant}");
            quote!(Some(crate::inputs::field::Standing::#variant))
        }
        None => quote!(None),
    }
}

/// A literal as JSON; a text that begins like a table or a list is one.
fn as_json(literal: &Lit) -> String {
    match literal {
        Lit::Str(text) if text.value().starts_with(['{', '[']) => text.value(),
        Lit::Str(text) => format!("\"{}\"", text.value()),
        Lit::Float(number) => number.base10_digits().to_string(),
        Lit::Int(number) => number.base10_digits().to_string(),
        other => quote!(#other).to_string(),
    }
}

/// The macro that hands the description to `callback!`, followed by what else was given.
fn handed_over(inputs: &Inputs) -> TokenStream {
    let (item, arguments) = (&inputs.item, &inputs.arguments);
    let mut name = String::new();
    for letter in inputs.item.ident.to_string().chars() {
        if letter.is_uppercase() && !name.is_empty() {
            name.push('_');
        }
        name.extend(letter.to_lowercase());
    }
    let name = format_ident!("fields_of_{name}");
    quote! {
        #[doc(hidden)]
        #[macro_export]
        macro_rules! #name {
            ($($callback:ident)::+ ; $($more:tt)*) => {
                $($callback)::+! { #[inputs(#arguments)] #item $($more)* }
            };
        }
    }
}
