//! The names of an enumeration, said once: serde's attributes have them, and its texts follow.

use proc_macro2::TokenStream;
use quote::quote;
use syn::{Attribute, Data, DeriveInput, Error, Fields, LitStr, Result};

/// `ALL`, `NAMES`, `name`, `Display` and `FromStr`.
pub fn written(item: &DeriveInput) -> Result<TokenStream> {
    let Data::Enum(found) = &item.data else {
        return Err(Error::new_spanned(&item.ident, "an enumeration has names"));
    };
    let (field, before) = of_enumeration(&item.attrs)?;
    let field =
        field.ok_or_else(|| Error::new_spanned(&item.ident, "names(field = ...) is missing: what an error names"))?;
    let case = in_serde(&item.attrs, "rename_all")?;
    let mut variants = Vec::new();
    let mut names = Vec::new();
    let mut aliases = Vec::new();
    for variant in &found.variants {
        if !matches!(variant.fields, Fields::Unit) {
            return Err(Error::new_spanned(variant, "a name stands for a variant without values"));
        }
        let own = in_serde(&variant.attrs, "rename")?;
        let name = match (own, case.as_deref()) {
            (Some(own), _) => own,
            (None, Some(case)) => cased(&variant.ident.to_string(), case)
                .ok_or_else(|| Error::new_spanned(variant, "rename_all is lowercase or kebab-case"))?,
            (None, None) => variant.ident.to_string(),
        };
        let ident = &variant.ident;
        for alias in aliases_of(&variant.attrs)? {
            aliases.push(quote!(#alias => return Ok(Self::#ident),));
        }
        variants.push(ident);
        names.push(name);
    }
    let owner = &item.ident;
    let before = before.map_or_else(|| quote!(None), |before| quote!(Some(#before)));
    Ok(quote! {
        impl #owner {
            /// Every one of them.
            pub const ALL: &'static [Self] = &[#(Self::#variants),*];

            /// Their names, in the same order.
            pub const NAMES: &'static [&'static str] = &[#(#names),*];

            /// The name, as in a case file.
            pub const fn name(self) -> &'static str {
                match self {
                    #(Self::#variants => #names,)*
                }
            }
        }

        /// Its name.
        impl ::std::fmt::Display for #owner {
            fn fmt(&self, f: &mut ::std::fmt::Formatter<'_>) -> ::std::fmt::Result {
                f.pad(self.name())
            }
        }

        /// By its name; the error has the names there are.
        impl ::std::str::FromStr for #owner {
            type Err = crate::error::Error;

            fn from_str(name: &str) -> crate::error::Result<Self> {
                match name {
                    #(#names => return Ok(Self::#variants),)*
                    #(#aliases)*
                    _ => {}
                }
                let limits = crate::error::Limits::OneOf { names: Self::NAMES, before: #before };
                Err(crate::error::Error::value(#field, name, limits))
            }
        }
    })
}

/// `field` and `before` of `#[names(...)]` on the enumeration.
fn of_enumeration(attributes: &[Attribute]) -> Result<(Option<String>, Option<String>)> {
    let (mut field, mut before) = (None, None);
    for attribute in attributes.iter().filter(|attribute| attribute.path().is_ident("names")) {
        attribute.parse_nested_meta(|meta| {
            let place = if meta.path.is_ident("field") {
                &mut field
            } else if meta.path.is_ident("before") {
                &mut before
            } else {
                return Err(meta.error("not known here: field, before"));
            };
            *place = Some(meta.value()?.parse::<LitStr>()?.value());
            Ok(())
        })?;
    }
    Ok((field, before))
}

/// Other names that are read, `#[names(alias = "...")]` on a variant.
fn aliases_of(attributes: &[Attribute]) -> Result<Vec<String>> {
    let mut found = Vec::new();
    for attribute in attributes.iter().filter(|attribute| attribute.path().is_ident("names")) {
        attribute.parse_nested_meta(|meta| {
            if !meta.path.is_ident("alias") {
                return Err(meta.error("not known here: alias"));
            }
            found.push(meta.value()?.parse::<LitStr>()?.value());
            Ok(())
        })?;
    }
    Ok(found)
}

/// The value of a key of `#[serde(...)]`.
fn in_serde(attributes: &[Attribute], key: &str) -> Result<Option<String>> {
    let mut found = None;
    for attribute in attributes.iter().filter(|attribute| attribute.path().is_ident("serde")) {
        attribute.parse_nested_meta(|meta| {
            if meta.path.is_ident(key) {
                found = Some(meta.value()?.parse::<LitStr>()?.value());
                return Ok(());
            }
            Err(meta.error(format!("the names of an enumeration read {key} alone")))
        })?;
    }
    Ok(found)
}

/// The name of a variant in serde's `lowercase` or `kebab-case`.
fn cased(variant: &str, case: &str) -> Option<String> {
    let dash = match case {
        "lowercase" => "",
        "kebab-case" => "-",
        _ => return None,
    };
    let mut name = String::new();
    for letter in variant.chars() {
        if letter.is_uppercase() && !name.is_empty() {
            name.push_str(dash);
        }
        name.extend(letter.to_lowercase());
    }
    Some(name)
}

#[cfg(test)]
mod tests {
    use syn::parse_quote;

    use super::*;

    #[test]
    fn names_are_serde_s() {
        assert_eq!(cased("WilsonGeankoplis", "kebab-case").as_deref(), Some("wilson-geankoplis"));
        assert_eq!(cased("CoCurrent", "lowercase").as_deref(), Some("cocurrent"));
        assert_eq!(cased("CoCurrent", "camelCase"), None);
    }

    #[test]
    fn what_has_no_name_is_refused() {
        let nowhere: DeriveInput = parse_quote! { enum Way { Up, Down } };
        assert!(written(&nowhere).unwrap_err().to_string().contains("field"));
        let filled: DeriveInput = parse_quote! { #[names(field = "way")] enum Way { Up(f64) } };
        assert!(written(&filled).unwrap_err().to_string().contains("without values"));
    }
}
