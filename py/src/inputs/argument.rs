//! Fields of a kind of their own, between Python and the crate: what is no number, flag, text, choice or part of a case.

use brinefront::inputs::cells::{Cells, Shells};
use brinefront::inputs::ion::Ion;
use brinefront::inputs::number_or_word::NumberOrWord;
use brinefront::inputs::resin::{BeadDiffusivity, BeadSize, Selectivity};
use pyo3::IntoPyObjectExt;
use pyo3::prelude::*;
use pyo3::types::PyTuple;

use super::text;
use crate::convert::{ion_dict, ion_map, ions, whole};
use crate::errors::to_python;
use crate::number::{InField, Number, numbers};

/// A field's value as an argument, as a property, and in a repr.
pub trait Argument: Sized {
    /// From what Python gave for `field`.
    fn taken(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Self>;

    /// As Python sees it.
    fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>>;

    /// As it is written in Python.
    fn shown(&self, py: Python<'_>) -> PyResult<String>;
}

/// A field that holds a number or a word, as Python sees it.
macro_rules! number_or_word {
    ($type:ty) => {
        impl Argument for $type {
            fn taken(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Self> {
                match given.extract::<String>() {
                    Ok(word) => Self::parse(&word).map_err(to_python),
                    Err(_) => Ok(whole(field, given, &format!("must be {}", Self::allowed()))?.into()),
                }
            }

            fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
                match self.as_number() {
                    Some(number) => number.into_bound_py_any(py),
                    None => Self::WORD.into_bound_py_any(py),
                }
            }

            fn shown(&self, _: Python<'_>) -> PyResult<String> {
                Ok(self.as_number().map_or_else(|| format!("'{}'", Self::WORD), |number| number.to_string()))
            }
        }
    };
}

number_or_word!(Cells);
number_or_word!(Shells);

impl Argument for Ion {
    fn taken(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Self> {
        Self::parse(field, &given.extract::<String>()?).map_err(to_python)
    }

    fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        self.symbol().into_bound_py_any(py)
    }

    fn shown(&self, _: Python<'_>) -> PyResult<String> {
        Ok(format!("'{}'", self.symbol()))
    }
}

impl Argument for Vec<Ion> {
    fn taken(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Self> {
        ions(field, &given.extract::<Vec<String>>()?)
    }

    fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        PyTuple::new(py, self.iter().map(|ion| ion.symbol())).map(Bound::into_any)
    }

    fn shown(&self, _: Python<'_>) -> PyResult<String> {
        let symbols: Vec<_> = self.iter().map(|ion| format!("'{}',", ion.symbol())).collect();
        Ok(format!("({})", symbols.join(" ")))
    }
}

impl Argument for Selectivity {
    fn taken(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Self> {
        match given.extract::<String>() {
            Ok(name) => Ok(Self::Named(name)),
            Err(_) => Ok(Self::Given(ion_map(field, given)?)),
        }
    }

    fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self {
            Self::Named(name) => name.into_bound_py_any(py),
            Self::Given(given) => ion_dict(py, given).map(Bound::into_any),
        }
    }

    fn shown(&self, py: Python<'_>) -> PyResult<String> {
        match self {
            Self::Named(name) => text::quoted(py, name),
            Self::Given(given) => Ok(text::dict_repr(given)),
        }
    }
}

impl Argument for BeadDiffusivity {
    fn taken(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Self> {
        if let Ok(name) = given.extract::<String>() {
            return Ok(Self::Named(name));
        }
        match given.extract::<Number<'_>>() {
            Ok(one) => Ok(Self::One(one.in_field(field)?)),
            Err(_) => Ok(Self::ByIon(ion_map(field, given)?)),
        }
    }

    fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self {
            Self::One(one) => one.into_bound_py_any(py),
            Self::ByIon(by_ion) => ion_dict(py, by_ion).map(Bound::into_any),
            Self::Named(name) => name.into_bound_py_any(py),
        }
    }

    fn shown(&self, py: Python<'_>) -> PyResult<String> {
        match self {
            Self::One(one) => Ok(format!("{one:?}")),
            Self::ByIon(by_ion) => Ok(text::dict_repr(by_ion)),
            Self::Named(name) => text::quoted(py, name),
        }
    }
}

impl Argument for Vec<BeadSize> {
    fn taken(_: &str, given: &Bound<'_, PyAny>) -> PyResult<Self> {
        let size = |(diameter_mm, share): (Number<'_>, Number<'_>)| {
            numbers!("resin.bead_sizes": diameter_mm, share);
            Ok(BeadSize { diameter_mm, share })
        };
        given.extract::<Vec<(Number<'_>, Number<'_>)>>()?.into_iter().map(size).collect()
    }

    fn given<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        PyTuple::new(py, self.iter().map(|size| (size.diameter_mm, size.share))).map(Bound::into_any)
    }

    fn shown(&self, _: Python<'_>) -> PyResult<String> {
        let sizes: Vec<_> = self.iter().map(|size| format!("({:?}, {:?})", size.diameter_mm, size.share)).collect();
        Ok(format!("[{}]", sizes.join(", ")))
    }
}
