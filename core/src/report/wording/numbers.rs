//! Numbers as sentences have them.

/// Three figures that count, without an exponent; never minus zero.
pub(super) fn short(value: f64) -> String {
    let digits = if value.abs() >= 100.0 {
        0
    } else if value.abs() >= 10.0 {
        1
    } else if value.abs() >= 1.0 {
        2
    } else {
        3
    };
    fixed(value, digits)
}

/// The same of a value that is not to be exceeded: rounded down.
pub(super) fn short_at_most(value: f64) -> String {
    let written = short(value);
    let behind = written.split_once('.').map_or(0, |(_, behind)| behind.len());
    let unit = 0.1_f64.powi(behind as i32);
    if written.parse::<f64>().is_ok_and(|shown| shown > value) { fixed(value - 0.5 * unit, behind) } else { written }
}

/// So many figures that count, without an exponent.
pub(super) fn counted(value: f64, figures: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return fixed(value, 0);
    }
    let place = value.abs().log10().floor() as i32;
    fixed(value, usize::try_from(figures - 1 - place).unwrap_or(0))
}

/// So many digits behind the point; never minus zero.
pub(super) fn fixed(value: f64, digits: usize) -> String {
    let written = format!("{value:.digits$}");
    match written.strip_prefix('-') {
        Some(size) if size.chars().all(|letter| matches!(letter, '0' | '.')) => size.to_string(),
        _ => written,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_count_wherever_they_stand() {
        assert_eq!(counted(0.023_622, 3), "0.0236");
        assert_eq!((counted(75.54, 3).as_str(), counted(1234.5, 3).as_str()), ("75.5", "1234"));
        assert_eq!((counted(0.0, 3).as_str(), counted(-1.1044, 3).as_str()), ("0", "-1.10"));
    }

    #[test]
    fn what_is_not_to_be_exceeded_is_not_by_what_is_written() {
        assert_eq!((short_at_most(8.867).as_str(), short_at_most(8.8607).as_str()), ("8.86", "8.86"));
        assert_eq!((short_at_most(99.99).as_str(), short_at_most(134.0).as_str()), ("99.9", "134"));
    }

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        assert_eq!((short(-1e-5).as_str(), short(-0.0).as_str()), ("0.000", "0.000"));
        assert_eq!((fixed(-0.04, 1).as_str(), fixed(-0.06, 1).as_str(), fixed(-0.4, 0).as_str()), ("0.0", "-0.1", "0"));
        assert_eq!((short(134.0).as_str(), short(-12.34).as_str(), short(1.234).as_str()), ("134", "-12.3", "1.23"));
    }
}
