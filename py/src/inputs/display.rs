//! How numbers are shown to a reader.

use brinefront::inputs::display;

brinefront::fields_of_display! {
    brinefront_derive::python_class;
    /// How the figures of a case are shown to a reader; it enters no computation.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For units that are none of the choices.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> bf.default_case().replace({"display": bf.Display("us")}).display
    /// Display(units='us')
    class Display("display") of display::Display {}
}
