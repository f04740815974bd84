//! The record of a struct of figures, and its values in the order of the record.

use proc_macro2::TokenStream;
use quote::{format_ident, quote};
use syn::meta::ParseNestedMeta;
use syn::{Error, Field, Fields, Ident, ItemStruct, LitStr, Result, Type};

use crate::description::{doc_of, inner_of};

/// A table that shows a figure.
struct Shown {
    table: Ident,
    /// The figure it comes after; by the order of the fields if there is none.
    after: Option<Ident>,
}

/// One figure with what is said of it.
struct Described {
    name: Ident,
    of: Type,
    doc: String,
    words: String,
    unit: String,
    error_of: Option<Ident>,
    tables: Vec<Shown>,
}

/// `FIGURES` and `values` of a struct.
pub fn written(item: &ItemStruct) -> Result<TokenStream> {
    let Fields::Named(named) = &item.fields else {
        return Err(Error::new_spanned(&item.ident, "figures have names"));
    };
    let figures = named.named.iter().map(described).collect::<Result<Vec<_>>>()?;
    let mut tables: Vec<(String, Vec<Ident>)> = Vec::new();
    for shown in figures.iter().flat_map(|figure| &figure.tables) {
        let name = shown.table.to_string();
        if !tables.iter().any(|(known, _)| *known == name) {
            let order = order(&figures, &name)?;
            tables.push((name, order));
        }
    }
    let records = figures.iter().map(|figure| record(&figures, figure, &tables)).collect::<Result<Vec<_>>>()?;
    let names = figures.iter().map(|figure| &figure.name);
    let owner = &item.ident;
    Ok(quote! {
        impl #owner {
            /// What is said of each figure, in the order of the fields.
            pub const FIGURES: &'static [crate::report::figure::Figure] = &[#(#records),*];

            /// The values, in the order of [`Self::FIGURES`].
            pub fn values(&self) -> ::std::vec::Vec<crate::report::figure::Value> {
                ::std::vec![#(crate::report::figure::Valued::value(&self.#names)),*]
            }
        }
    })
}

fn described(field: &Field) -> Result<Described> {
    let name = field.ident.clone().ok_or_else(|| Error::new_spanned(field, "figures have names"))?;
    let (mut words, mut unit, mut error_of, mut tables) = (None, None, None, Vec::new());
    for attribute in field.attrs.iter().filter(|attribute| attribute.path().is_ident("figure")) {
        attribute.parse_nested_meta(|meta| {
            if meta.path.is_ident("words") {
                words = Some(meta.value()?.parse::<LitStr>()?.value());
            } else if meta.path.is_ident("unit") {
                unit = Some(meta.value()?.parse::<LitStr>()?.value());
            } else if meta.path.is_ident("error_of") {
                error_of = Some(meta.value()?.parse::<Ident>()?);
            } else if meta.path.is_ident("tables") {
                meta.parse_nested_meta(|table| {
                    tables.push(shown(&table)?);
                    Ok(())
                })?;
            } else {
                return Err(meta.error("not known here: words, unit, error_of, tables"));
            }
            Ok(())
        })?;
    }
    let of = inner_of(&field.ty, "Option").unwrap_or(&field.ty);
    let is_number = matches!(of, Type::Path(path) if path.path.is_ident("f64"));
    let Some(words) = words.filter(|words| !words.is_empty()) else {
        return Err(Error::new_spanned(&name, "words are missing: what the figure is called in a report"));
    };
    if is_number && unit.is_none() {
        return Err(Error::new_spanned(&name, "unit is missing: that of the figure in a report"));
    }
    let doc = doc_of(&field.attrs).replace("\\[", "[").replace("\\]", "]");
    Ok(Described { name, of: field.ty.clone(), doc, words, unit: unit.unwrap_or_default(), error_of, tables })
}

/// `key`, or `key(after = salt_kg)`.
fn shown(meta: &ParseNestedMeta<'_>) -> Result<Shown> {
    let table = meta.path.require_ident()?.clone();
    let mut after = None;
    if meta.input.peek(syn::token::Paren) {
        meta.parse_nested_meta(|inner| {
            if !inner.path.is_ident("after") {
                return Err(inner.error("not known here: after"));
            }
            after = Some(inner.value()?.parse::<Ident>()?);
            Ok(())
        })?;
    }
    Ok(Shown { table, after })
}

/// The figures of a table: in the order of the fields, but for those that come after another one.
fn order(figures: &[Described], table: &str) -> Result<Vec<Ident>> {
    let all: Vec<(&Ident, Option<&Ident>)> = figures
        .iter()
        .flat_map(|figure| figure.tables.iter().map(move |shown| (figure, shown)))
        .filter(|(_, shown)| shown.table == table)
        .map(|(figure, shown)| (&figure.name, shown.after.as_ref()))
        .collect();
    let mut found: Vec<Ident> =
        all.iter().filter(|(_, after)| after.is_none()).map(|(name, _)| (*name).clone()).collect();
    let mut left: Vec<(&Ident, &Ident)> = all.iter().filter_map(|(name, after)| Some((*name, (*after)?))).collect();
    for (place, (_, after)) in left.iter().enumerate() {
        if left[..place].iter().any(|(_, other)| other == after) {
            return Err(Error::new_spanned(after, "two figures come after this one in a table"));
        }
    }
    while !left.is_empty() {
        let before = left.len();
        left.retain(|(name, after)| match found.iter().position(|each| each == *after) {
            Some(place) => {
                found.insert(place + 1, (*name).clone());
                false
            }
            None => true,
        });
        if let (true, Some((_, after))) = (left.len() == before, left.first()) {
            return Err(Error::new_spanned(after, format!("no figure of the table {table}")));
        }
    }
    Ok(found)
}

fn record(figures: &[Described], figure: &Described, tables: &[(String, Vec<Ident>)]) -> Result<TokenStream> {
    let Described { name, of, doc, words, unit, error_of, .. } = figure;
    let text = name.to_string();
    let error_of = match error_of {
        Some(other) if !figures.iter().any(|each| each.name == *other) => {
            return Err(Error::new_spanned(other, "no such figure"));
        }
        Some(other) => {
            let other = other.to_string();
            quote!(Some(#other))
        }
        None => quote!(None),
    };
    let places = figure.tables.iter().filter_map(|shown| {
        let (_, order) = tables.iter().find(|(known, _)| shown.table == known)?;
        let place = order.iter().position(|each| each == name)?;
        let variant = variant(&shown.table);
        Some(quote!((crate::report::figure::Table::#variant, #place)))
    });
    Ok(quote! {
        crate::report::figure::Figure {
            name: #text, doc: #doc, words: #words, unit: #unit, kind: <#of as crate::report::figure::Valued>::KIND,
            error_of: #error_of, tables: &[#(#places),*],
        }
    })
}

/// `Key` of `key`.
fn variant(table: &Ident) -> Ident {
    let name = table.to_string();
    let (first, rest) = name.split_at(name.len().min(1));
    format_ident!("{}{}", first.to_uppercase(), rest, span = table.span())
}

#[cfg(test)]
mod tests {
    use syn::parse_quote;

    use super::*;

    fn refused(item: &ItemStruct) -> String {
        written(item).unwrap_err().to_string()
    }

    #[test]
    fn a_figure_without_words_or_a_number_without_a_unit_is_refused() {
        let whole: ItemStruct = parse_quote! { struct Pump { #[figure(words = "pumps")] pumps: usize } };
        assert!(written(&whole).is_ok());
        let bare = parse_quote! { struct Pump { /** Head. */ head_m: f64 } };
        assert_eq!(refused(&bare), "words are missing: what the figure is called in a report");
        let unitless = parse_quote! { struct Pump { #[figure(words = "head")] head_m: Option<f64> } };
        assert_eq!(refused(&unitless), "unit is missing: that of the figure in a report");
    }

    #[test]
    fn places_in_a_table_must_be_clear() {
        let lost = parse_quote! { struct Pump { #[figure(words = "pumps", tables(key(after = speed)))] pumps: usize } };
        assert_eq!(refused(&lost), "no figure of the table key");
        let double = parse_quote! { struct Pump {
            #[figure(words = "a", tables(key))] a: usize,
            #[figure(words = "b", tables(key(after = a)))] b: usize,
            #[figure(words = "c", tables(key(after = a)))] c: usize,
        } };
        assert_eq!(refused(&double), "two figures come after this one in a table");
    }
}
