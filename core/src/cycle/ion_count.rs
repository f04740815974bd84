//! From a number of ions to code for that many.

/// Call `$function::<N>(...)` with N the number of ions of a model, 1 to 10.
macro_rules! for_ion_count {
    ($count:expr, $function:ident, $($argument:expr),*) => {
        match $count {
            1 => $function::<1>($($argument),*),
            2 => $function::<2>($($argument),*),
            3 => $function::<3>($($argument),*),
            4 => $function::<4>($($argument),*),
            5 => $function::<5>($($argument),*),
            6 => $function::<6>($($argument),*),
            7 => $function::<7>($($argument),*),
            8 => $function::<8>($($argument),*),
            9 => $function::<9>($($argument),*),
            10 => $function::<10>($($argument),*),
            count => Err($crate::Error::value("water.ions", count, "at most 10 cations")),
        }
    };
}
pub(super) use for_ion_count;
