//! Where a softener stands.

use brinefront::inputs::site;

brinefront::fields_of_site! {
    brinefront_derive::python_class;
    /// What a softener has to deliver, and what its owner allows it; figures per week come from it.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> bf.default_case().replace({"site": bf.Site("Heron Weir", 12.0)}).site
    /// Site(name='Heron Weir', water_use_m3_per_day=12.0)
    class Site("site") of site::Site {}
}
