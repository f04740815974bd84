//! A field of a case, or a figure of a cycle, is described once, beside itself; what others need to know of it is made from that.
//!
//! [`macro@inputs`] on a struct of `brinefront::inputs` reads the doc comment and `#[field(...)]` of each field and
//! makes serde's attributes, defaults, range checks and the records in `FIELDS`. `python_class` makes the Python class
//! of the same description. `description` reads it, `records` and `python` write what follows, `words` has the texts.
//! [`derive@Figures`] on a struct of figures makes their record in `FIGURES`; that is `figures`. [`derive@Names`] on an
//! enumeration makes its texts of its names; that is `names`.

mod description;
mod figures;
mod names;
mod python;
mod records;
mod words;

use proc_macro::TokenStream;

/// The inputs of one part of a case.
///
/// Of the struct: `part` (the dotted name before a field's own, `*` for a place in a list), `positional(...)` (what a
/// constructor takes by position), `source` and `standing` (of every field that has none of its own).
///
/// Of a field, all but the first two where they apply:
///
/// | key | what |
/// |---|---|
/// | `words` | what it is called in a report |
/// | `unit` | unit in a report, or `"none"`; a number must have one |
/// | `source`, `standing` | where the default comes from, and what that is worth; required where there is a default |
/// | `default` | its default; of a choice, the name |
/// | `range` | `low..=high`; `in_errors` is the unit in its error, where another than `unit` |
/// | `late` | `late = "group"`: checked by `check_group`, after rules that come first, and not by `check_ranges` |
/// | `limits` | limits in words, where a rule that is written by hand checks them |
/// | `choices(...)` | names of a choice in the order of its errors, each with `source` and `standing`, or without |
/// | `off`, `unset` | what its absence means; what is then taken |
/// | `acts`, `unless`, `unit_of` | when it acts; the field that takes its place; the field that holds its unit |
/// | `each(words, unit)` | what an item of a mapping is called |
/// | `required` | must be given, though another may take its place |
/// | `quiet` | left out of files and of a repr at its default; `quiet = "repr"`: of a repr alone |
/// | `sample`, `needs(...)` | a value for tests, and the fields that must be given with it |
/// | `in_signature` | its default is the argument's own in Python, not None |
/// | `computed` | Python asks the method of the same name |
/// | `python_type` | its type in a docstring, where it is of a kind of its own |
/// | `part` | a part of the case, a class of its own in Python |
/// | `fixed` | no input: this value |
#[proc_macro_attribute]
pub fn inputs(arguments: TokenStream, item: TokenStream) -> TokenStream {
    description::of_attribute(arguments.into(), item.into())
        .map(|found| records::written(&found))
        .unwrap_or_else(|error| error.to_compile_error())
        .into()
}

/// The Python class of an input struct: called with the tokens that `brinefront::fields_of_...!` hands over.
#[proc_macro]
pub fn python_class(input: TokenStream) -> TokenStream {
    syn::parse::<python::Class>(input)
        .and_then(|class| class.written())
        .unwrap_or_else(|error| error.to_compile_error())
        .into()
}

/// The record and the values of a struct of figures.
///
/// Of a field, in `#[figure(...)]`:
///
/// | key | what |
/// |---|---|
/// | `words` | what it is called in a report; required |
/// | `unit` | unit in a report; a number must have one |
/// | `tables(...)` | the tables that show it, variants of `Table` in small letters: in the order of the fields, or `key(after = salt_kg)` |
/// | `error_of` | the figure whose numerical error it is |
#[proc_macro_derive(Figures, attributes(figure))]
pub fn figures(item: TokenStream) -> TokenStream {
    syn::parse(item).and_then(|item| figures::written(&item)).unwrap_or_else(|error| error.to_compile_error()).into()
}

/// The texts of an enumeration without values: `ALL`, `NAMES`, `name`, `Display` and `FromStr`, by the names that
/// serde's `rename_all` and `rename` give its variants.
///
/// In `#[names(...)]` on the enumeration, `field` is what an error names, and `before` what stands before the names
/// there, where another than "must be"; on a variant, `alias` is another name that `FromStr` reads.
#[proc_macro_derive(Names, attributes(names))]
pub fn names(item: TokenStream) -> TokenStream {
    syn::parse(item).and_then(|item| names::written(&item)).unwrap_or_else(|error| error.to_compile_error()).into()
}
