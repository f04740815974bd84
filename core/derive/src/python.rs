//! The Python class of a struct of inputs: constructor, docstring, properties, repr and JSON.
//!
//! What is called here stands in `py/src`: `number` and `convert` for numbers with units, `inputs::argument` for fields of a
//! kind of their own, `inputs::text` for reprs and JSON.

use proc_macro2::TokenStream;
use quote::{format_ident, quote};
use syn::parse::{Parse, ParseStream};
use syn::{Attribute, Error, Ident, ItemStruct, LitStr, Path, Result, Type};

use crate::description::{self, Described, Inputs, Kind, Quiet};
use crate::words::wrapped;

/// What the arguments are that no signature names.
const AMOUNTS: &str =
    "A number by its name without the unit, as a text with one: `depth=\"3 ft\"` stands for `depth_m` of a bed.";

/// The tokens of a struct, and behind them `class Name("field") of path::Struct { methods }`, with `by method` before the
/// methods where another than `validate` checks it, and `step` for `class` where it is a step of a recipe.
pub struct Class {
    inputs: Inputs,
    docs: Vec<String>,
    is_step: bool,
    name: Ident,
    prefix: String,
    core: Path,
    check: Ident,
    methods: TokenStream,
}

impl Parse for Class {
    fn parse(input: ParseStream<'_>) -> Result<Self> {
        let mut item: ItemStruct = input.parse()?;
        let place = item.attrs.iter().position(|attribute| attribute.path().is_ident("inputs"));
        let arguments = match place {
            Some(place) => item.attrs.remove(place).parse_args()?,
            None => return Err(Error::new_spanned(&item.ident, "no inputs")),
        };
        let inputs = description::of_attribute(arguments, quote!(#item))?;
        let docs = input.call(Attribute::parse_outer)?;
        let word: Ident = input.parse()?;
        let name = input.parse()?;
        let prefix;
        syn::parenthesized!(prefix in input);
        let prefix = prefix.parse::<LitStr>()?.value();
        let _of: Ident = input.parse()?;
        let core = input.parse()?;
        let check = match input.peek(Ident) {
            true => {
                let _by: Ident = input.parse()?;
                input.parse()?
            }
            false => format_ident!("validate"),
        };
        let methods;
        syn::braced!(methods in input);
        let docs = docs.iter().map(description::doc_line).collect();
        Ok(Self { inputs, docs, is_step: word == "step", name, prefix, core, check, methods: methods.parse()? })
    }
}

impl Class {
    pub fn written(&self) -> Result<TokenStream> {
        let (name, core, methods) = (&self.name, &self.core, &self.methods);
        let docs = self.docstring();
        let fields = self.inputs.in_order();
        let constructor = self.constructor(&fields);
        let getters: Vec<_> = fields.iter().map(|field| getter(field)).collect();
        let (written, read) = self.json();
        let repr = self.repr(&fields);
        let checked = self.checked();
        Ok(quote! {
            #(#[doc = #docs])*
            #[::pyo3::pyclass(frozen, eq, module = "brinefront")]
            #[derive(PartialEq)]
            pub struct #name(pub #core);

            #[::pyo3::pymethods]
            impl #name {
                #constructor
                #(#getters)*
                #methods

                /// Read one from JSON text.
                ///
                /// Parameters
                /// ----------
                /// text : str
                ///     What `to_json` wrote.
                ///
                /// Returns
                /// -------
                /// object
                ///     As it was.
                ///
                /// Raises
                /// ------
                /// CaseFileError
                ///     For a text that cannot be understood.
                /// InputError
                ///     For a value out of limits.
                #[classmethod]
                fn from_json(_class: &::pyo3::Bound<'_, ::pyo3::types::PyType>, text: &str) -> ::pyo3::PyResult<Self> {
                    #read
                }

                /// The same as JSON text.
                ///
                /// Returns
                /// -------
                /// str
                ///     A JSON object, which `from_json` reads.
                fn to_json(&self) -> ::pyo3::PyResult<String> {
                    #written
                }

                fn __reduce__<'py>(
                    &self,
                    py: ::pyo3::Python<'py>,
                ) -> ::pyo3::PyResult<(::pyo3::Bound<'py, ::pyo3::PyAny>, ::pyo3::Bound<'py, ::pyo3::types::PyTuple>)> {
                    crate::inputs::text::reduce(&py.get_type::<Self>(), self.to_json()?)
                }

                pub(crate) fn __repr__(&self, py: ::pyo3::Python<'_>) -> ::pyo3::PyResult<String> {
                    #repr
                }
            }

            #checked
        })
    }

    /// The lines of the docstring: what was written, with the parameters before the first section.
    fn docstring(&self) -> Vec<String> {
        let is_rule = |line: &String| !line.trim().is_empty() && line.trim().chars().all(|letter| letter == '-');
        let sections = self.docs.iter().position(is_rule).map_or(self.docs.len(), |place| place - 1);
        let (summary, sections) = self.docs.split_at(sections);
        let mut lines: Vec<String> = summary.to_vec();
        while lines.last().is_some_and(|line| line.trim().is_empty()) {
            lines.pop();
        }
        lines.extend(["", "Parameters", "----------"].map(String::from));
        for field in self.inputs.in_order() {
            lines.push(format!("{} : {}", field.name, self.type_in_words(field)));
            lines.extend(wrapped(&field.parameter(), "    "));
        }
        if self.takes_amounts() {
            lines.push("**amounts : str or Quantity".to_string());
            lines.extend(wrapped(AMOUNTS, "    "));
        }
        lines.push(String::new());
        lines.extend(sections.iter().cloned());
        // rustdoc's own lines begin with a space, which pyo3 takes away.
        lines.into_iter().map(|line| if line.is_empty() { line } else { format!(" {line}") }).collect()
    }

    /// The type of a parameter as numpydoc writes it.
    fn type_in_words(&self, field: &Described) -> String {
        if let Some(words) = &field.python_type {
            return words.clone();
        }
        let default = field.default_in_words();
        let base = match field.kind {
            Kind::Number => "float or Quantity".to_string(),
            Kind::Whole => "int or Quantity".to_string(),
            Kind::Flag => "bool".to_string(),
            Kind::Text => "str".to_string(),
            Kind::ByIon => "mapping of str to float or Quantity".to_string(),
            Kind::Choice => {
                let mut names: Vec<String> =
                    field.choices.iter().map(|choice| format!("\"{}\"", choice.name)).collect();
                if let Some(place) = names.iter().position(|name| Some(name) == default.as_ref()) {
                    names[..=place].rotate_right(1);
                }
                format!("{{{}}}", names.join(", "))
            }
            Kind::Part | Kind::Other => last_word(&field.field.ty).unwrap_or_default(),
        };
        let shows_default = field.in_signature || matches!(field.kind, Kind::Choice | Kind::Flag);
        match default {
            Some(default) if shows_default => {
                let default =
                    if field.kind == Kind::Number && !default.contains('.') { format!("{default}.0") } else { default };
                format!("{base}, default {default}")
            }
            _ if self.takes_none(field) => format!("{base}, optional"),
            _ => base,
        }
    }

    /// Has a field a unit in its name, so that it may be given without it, as a text with a unit?
    fn is_measured(field: &Described) -> bool {
        let unit = field.unit.as_deref().unwrap_or("none");
        matches!(field.kind, Kind::Number | Kind::Other) && unit != "none" && !unit.starts_with("of ")
    }

    fn takes_amounts(&self) -> bool {
        !self.prefix.is_empty() && self.inputs.fields.iter().any(Self::is_measured)
    }

    /// Must a number be given, under its own name or without its unit?
    fn is_needed(&self, field: &Described) -> bool {
        self.takes_amounts() && Self::is_measured(field) && !field.optional && field.default.is_none()
    }

    /// May an argument be left out, None standing in its place?
    fn takes_none(&self, field: &Described) -> bool {
        let shown = field.in_signature || matches!(field.kind, Kind::Choice | Kind::Flag);
        let required_part = field.kind == Kind::Part && self.inputs.is_positional(field);
        field.optional || (field.default.is_some() && !shown && !required_part)
    }

    fn dotted(&self, field: &Described) -> String {
        if self.prefix.is_empty() { field.name.to_string() } else { format!("{}.{}", self.prefix, field.name) }
    }

    fn constructor(&self, fields: &[&Described]) -> TokenStream {
        let core = &self.core;
        let (mut signature, mut words, mut taken) = (Vec::new(), Vec::new(), Vec::new());
        let by_position = self.inputs.positional.len();
        for (place, field) in fields.iter().enumerate() {
            if place == by_position {
                signature.push(quote!(*));
                words.push("*".to_string());
            }
            let name = &field.name;
            let (default, said) = self.default_of_argument(field);
            signature.push(default.map_or_else(|| quote!(#name), |default| quote!(#name = #default)));
            words.push(if said.is_empty() { name.to_string() } else { format!("{name}={said}") });
            let of = self.type_of_argument(field);
            taken.push(quote!(#name: #of));
        }
        if self.takes_amounts() {
            signature.push(quote!(**amounts));
            words.push("**amounts".to_string());
            taken.push(quote!(amounts: Option<&::pyo3::Bound<'py, ::pyo3::types::PyDict>>));
        }
        let words = format!("({})", words.join(", "));
        // A choice may decide the unit of a number.
        let (choices, others): (Vec<&&Described>, Vec<&&Described>) =
            fields.iter().partition(|field| field.kind == Kind::Choice);
        let conversions = choices.into_iter().chain(others).map(|field| self.conversion(field));
        let amounts = self.takes_amounts().then(|| {
            let (class, part) = (self.name.to_string(), &self.prefix);
            let owner = self.inputs.item.ident.to_string();
            quote!(let amounts = crate::amounts::Amounts::of(#class, #owner, #part, amounts)?;)
        });
        let names = fields.iter().map(|field| &field.name);
        let fixed = self.inputs.fields.iter().filter(|field| field.fixed.is_some()).map(|field| {
            let (name, value) = (&field.name, format_ident!("default_of_{}", field.name));
            quote!(#name: #core::#value())
        });
        let made = quote!(#core { #(#names,)* #(#fixed,)* });
        let made = match self.takes_amounts() {
            // What is refused is shown as it was written.
            true => quote!(Self::checked_or(#made, |error| amounts.as_written(error))),
            false => quote!(Self::checked(#made)),
        };
        quote! {
            #[new]
            #[pyo3(signature = (#(#signature),*), text_signature = #words)]
            #[allow(clippy::too_many_arguments, reason = "keyword arguments of the Python constructor")]
            fn new<'py>(#(#taken),*) -> ::pyo3::PyResult<Self> {
                #amounts
                #(#conversions)*
                #made
            }
        }
    }

    /// The default in a signature and as Python shows it; none and nothing for what must be given.
    fn default_of_argument(&self, field: &Described) -> (Option<TokenStream>, String) {
        if self.takes_none(field) || self.is_needed(field) {
            return (Some(quote!(None)), "None".to_string());
        }
        let Some(default) = field.default.as_ref().filter(|_| field.kind != Kind::Part) else {
            return (None, String::new());
        };
        let words = field.default_in_words().unwrap_or_default();
        match field.kind {
            Kind::Number => {
                let words = if words.contains(['.', 'e']) { words } else { format!("{words}.0") };
                (Some(quote!(crate::number::Number::Plain(#default))), words)
            }
            Kind::Choice => (Some(quote!(#default)), words.replace('"', "'")),
            _ => (Some(quote!(#default)), words),
        }
    }

    fn type_of_argument(&self, field: &Described) -> TokenStream {
        let any = match self.takes_amounts() {
            true => quote!(&::pyo3::Bound<'py, ::pyo3::PyAny>),
            false => quote!(&::pyo3::Bound<'_, ::pyo3::PyAny>),
        };
        let bare = match field.kind {
            Kind::Number if self.takes_amounts() => quote!(crate::number::Number<'py>),
            Kind::Number => quote!(crate::number::Number<'_>),
            Kind::Whole | Kind::ByIon | Kind::Other => any,
            Kind::Flag => quote!(bool),
            Kind::Text => quote!(String),
            Kind::Choice => quote!(&str),
            Kind::Part => {
                let class = part_class(field);
                quote!(&::pyo3::Bound<'_, #class>)
            }
        };
        if self.takes_none(field) || self.is_needed(field) { quote!(Option<#bare>) } else { bare }
    }

    /// The argument as the struct holds it, under the same name.
    fn conversion(&self, field: &Described) -> TokenStream {
        let (name, dotted, core) = (&field.name, self.dotted(field), &self.core);
        let default = format_ident!("default_of_{}", field.name);
        let (optional, has_default) = (self.takes_none(field), field.default.is_some());
        // One that was given, by its name `given`.
        let one = match field.kind {
            Kind::Flag | Kind::Text => return TokenStream::new(),
            Kind::Number => quote!(crate::number::InField::in_field(given, #dotted)?),
            Kind::Whole => {
                let limits = format!("must be a whole number from {}", field.limits_in_words().unwrap_or_default());
                quote!(crate::convert::whole(#dotted, given, #limits)?)
            }
            Kind::Choice => quote!(crate::convert::named(#dotted, given)?),
            Kind::ByIon => match field.unit_of.as_ref().and_then(|unit| unit.rsplit('.').next()) {
                Some(unit) => {
                    let unit = format_ident!("{unit}");
                    quote!(crate::convert::concentrations(#dotted, given, &crate::convert::name_of(&#unit)?)?)
                }
                None => quote!(crate::convert::ion_map(#dotted, given)?),
            },
            Kind::Part => quote!(given.get().0.clone()),
            Kind::Other => quote!(crate::inputs::argument::Argument::taken(#dotted, given)?),
        };
        let key = name.to_string();
        let measured = self.takes_amounts() && Self::is_measured(field);
        if !optional {
            let given = match (measured, &field.default) {
                (false, _) => quote!(#name),
                (true, None) => quote!(amounts.needed(#key, #name)?),
                (true, Some(_)) => quote! {
                    amounts.instead(#key, Some(#name), Some(#core::#default()))?.unwrap_or(crate::number::Number::Plain(#core::#default()))
                },
            };
            return quote! {
                let given = #given;
                let #name = #one;
            };
        }
        let name_or_amount = if measured && field.kind == Kind::Other {
            quote!(amounts.object(#key, #name)?.as_ref())
        } else if measured {
            quote!(amounts.instead(#key, #name, None)?)
        } else {
            quote!(#name)
        };
        let (some, none) =
            if has_default { (one, quote!(#core::#default())) } else { (quote!(Some(#one)), quote!(None)) };
        quote! {
            let #name = match #name_or_amount {
                Some(given) => #some,
                None => #none,
            };
        }
    }

    fn json(&self) -> (TokenStream, TokenStream) {
        let (name, prefix) = (&self.name, &self.prefix);
        if !self.is_step {
            let what = if prefix.is_empty() { "case" } else { prefix };
            return (
                quote!(crate::inputs::text::to_json(&self.0)),
                quote!(Self::checked(crate::inputs::text::from_json(text, #what)?)),
            );
        }
        let kind = prefix.replace('_', "-");
        let limits = format!("must be {kind}");
        (
            quote!(crate::inputs::text::to_json(&self.step())),
            quote! {
                let found: ::brinefront::inputs::recipe_steps::FreeStep = crate::inputs::text::from_json(text, #prefix)?;
                found.validate(#prefix).map_err(crate::errors::to_python)?;
                let words = found.name().words();
                match found {
                    ::brinefront::inputs::recipe_steps::FreeStep::#name(step) => Ok(Self(step)),
                    _ => Err(crate::errors::value("step", words, #limits)),
                }
            },
        )
    }

    fn checked(&self) -> TokenStream {
        let (name, core, check, prefix) = (&self.name, &self.core, &self.check, &self.prefix);
        let refusing = quote!(refused: impl FnOnce(::brinefront::Error) -> ::brinefront::Error);
        let short = quote! {
            fn checked(found: #core) -> ::pyo3::PyResult<Self> {
                Self::checked_or(found, |error| error)
            }
        };
        if !self.is_step {
            return quote! {
                impl #name {
                    #short

                    fn checked_or(found: #core, #refusing) -> ::pyo3::PyResult<Self> {
                        found.#check().map_err(|error| crate::errors::to_python(refused(error)))?;
                        Ok(Self(found))
                    }
                }
            };
        }
        quote! {
            impl #name {
                #short

                fn checked_or(found: #core, #refusing) -> ::pyo3::PyResult<Self> {
                    let found = Self(found);
                    found.step().validate(#prefix).map_err(|error| crate::errors::to_python(refused(error)))?;
                    Ok(found)
                }

                /// As a step of a recipe.
                pub(crate) fn step(&self) -> ::brinefront::inputs::recipe_steps::FreeStep {
                    ::brinefront::inputs::recipe_steps::FreeStep::#name(self.0.clone())
                }
            }
        }
    }

    fn repr(&self, fields: &[&Described]) -> TokenStream {
        let (class, core) = (self.name.to_string(), &self.core);
        let parts = fields.iter().map(|field| {
            let (name, label) = (&field.name, field.name.to_string());
            let shown = match field.kind {
                Kind::Number => quote!(format!("{value:?}")),
                Kind::Whole => quote!(value.to_string()),
                Kind::Flag => quote!((if *value { "True" } else { "False" }).to_string()),
                Kind::Text => quote!(crate::inputs::text::quoted(py, value)?),
                Kind::Choice => quote!(format!("'{}'", crate::convert::name_of(value)?)),
                Kind::ByIon => quote!(crate::inputs::text::dict_repr(value)),
                Kind::Part => {
                    let class = part_class(field);
                    quote!(#class(value.clone()).__repr__(py)?)
                }
                Kind::Other => quote!(crate::inputs::argument::Argument::shown(value, py)?),
            };
            let bare = self.inputs.is_positional(field) && matches!(field.kind, Kind::Part | Kind::ByIon);
            let add = if bare { quote!(repr = repr.bare(&#shown);) } else { quote!(repr = repr.raw(#label, &#shown);) };
            let default = format_ident!("default_of_{}", field.name);
            match (field.optional, field.quiet) {
                (true, _) => quote!(if let Some(value) = &self.0.#name { #add }),
                (false, Quiet::No) => quote!({ let value = &self.0.#name; #add }),
                (false, _) => quote!({
                    let value = &self.0.#name;
                    if *value != #core::#default() { #add }
                }),
            }
        });
        quote! {
            // Only texts and parts need the interpreter.
            let _ = py;
            let mut repr = crate::inputs::text::Repr::of(#class);
            #(#parts)*
            Ok(repr.end())
        }
    }
}

/// The property of a field.
fn getter(field: &Described) -> TokenStream {
    let name = &field.name;
    let docs = summary_first(&field.plain_doc());
    let (of, value) = if field.computed {
        (quote!(f64), quote!(self.0.#name()))
    } else {
        match (field.kind, field.optional) {
            (Kind::Number, false) => (quote!(f64), quote!(self.0.#name)),
            (Kind::Number, true) => (quote!(Option<f64>), quote!(self.0.#name)),
            (Kind::Whole, false) => (quote!(usize), quote!(self.0.#name)),
            (Kind::Whole, true) => (quote!(Option<usize>), quote!(self.0.#name)),
            (Kind::Flag, false) => (quote!(bool), quote!(self.0.#name)),
            (Kind::Flag, true) => (quote!(Option<bool>), quote!(self.0.#name)),
            (Kind::Text, false) => (quote!(&str), quote!(&self.0.#name)),
            (Kind::Text, true) => (quote!(Option<&str>), quote!(self.0.#name.as_deref())),
            (Kind::Choice, false) => (quote!(::pyo3::PyResult<String>), quote!(crate::convert::name_of(&self.0.#name))),
            (Kind::Choice, true) => (
                quote!(::pyo3::PyResult<Option<String>>),
                quote!(self.0.#name.as_ref().map(crate::convert::name_of).transpose()),
            ),
            (Kind::Part, false) => {
                let class = part_class(field);
                (quote!(#class), quote!(#class(self.0.#name.clone())))
            }
            (Kind::Part, true) => {
                let class = part_class(field);
                (quote!(Option<#class>), quote!(self.0.#name.clone().map(#class)))
            }
            (Kind::ByIon, _) => {
                return quote! {
                    #(#[doc = #docs])*
                    #[getter]
                    fn #name<'py>(&self, py: ::pyo3::Python<'py>) -> ::pyo3::PyResult<::pyo3::Bound<'py, ::pyo3::types::PyDict>> {
                        crate::convert::ion_dict(py, &self.0.#name)
                    }
                };
            }
            (Kind::Other, optional) => {
                let any = quote!(::pyo3::Bound<'py, ::pyo3::PyAny>);
                let given = quote!(crate::inputs::argument::Argument::given);
                let (of, value) = if optional {
                    (quote!(Option<#any>), quote!(self.0.#name.as_ref().map(|value| #given(value, py)).transpose()))
                } else {
                    (any, quote!(#given(&self.0.#name, py)))
                };
                return quote! {
                    #(#[doc = #docs])*
                    #[getter]
                    fn #name<'py>(&self, py: ::pyo3::Python<'py>) -> ::pyo3::PyResult<#of> {
                        #value
                    }
                };
            }
        }
    };
    quote! {
        #(#[doc = #docs])*
        #[getter]
        fn #name(&self) -> #of {
            #value
        }
    }
}

/// A text as lines of a docstring whose first sentence stands alone.
fn summary_first(text: &str) -> Vec<String> {
    let (summary, rest) = match text.find(". ") {
        Some(end) => (&text[..=end], text[end + 1..].trim()),
        None => (text, ""),
    };
    let mut lines = vec![format!(" {summary}")];
    if !rest.is_empty() {
        lines.push(String::new());
        lines.extend(wrapped(rest, " "));
    }
    lines
}

fn last_word(of: &Type) -> Option<String> {
    let Type::Path(path) = of else { return None };
    let last = path.path.segments.last()?;
    match &last.arguments {
        syn::PathArguments::AngleBracketed(inner) => inner.args.iter().find_map(|argument| match argument {
            syn::GenericArgument::Type(inner) => last_word(inner),
            _ => None,
        }),
        _ => Some(last.ident.to_string()),
    }
}

/// The class of a part, which has the name of its struct.
fn part_class(field: &Described) -> Ident {
    format_ident!("{}", last_word(&field.field.ty).unwrap_or_default())
}
