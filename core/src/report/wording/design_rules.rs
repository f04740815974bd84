//! Rules of design, a line each; without a full stop, so that they can be listed.

use std::fmt::{Display, Formatter, Result};

use crate::report::design_rule::DesignRule;
use crate::report::wording::numbers::short;

impl Display for DesignRule {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        let Self { rule, found, low, high, unit, inside, source } = self;
        let judged = if *inside { "inside" } else { "outside" };
        write!(f, "{rule}: {judged} the rule of design: {} {unit}, ", short(*found))?;
        match (low, high) {
            (Some(low), Some(high)) => write!(f, "{} to {}", short(*low), short(*high))?,
            (Some(low), None) => write!(f, "at least {}", short(*low))?,
            (None, Some(high)) => write!(f, "at most {}", short(*high))?,
            (None, None) => write!(f, "any value")?,
        }
        write!(f, " ({source})")
    }
}

#[cfg(test)]
mod tests {
    use crate::report::design_rule::{DesignRule, Rule};

    #[test]
    fn a_rule_says_what_was_found_and_what_is_allowed() {
        let rule = DesignRule {
            rule: Rule::FastRinse,
            found: 3.0,
            low: Some(4.7),
            high: Some(13.4),
            unit: "BV",
            inside: false,
            source: "a handbook",
        };
        assert_eq!(rule.to_string(), "fast rinse: outside the rule of design: 3.00 BV, 4.70 to 13.4 (a handbook)");
        let rule = DesignRule { low: None, found: 3.0, inside: true, ..rule };
        assert_eq!(rule.to_string(), "fast rinse: inside the rule of design: 3.00 BV, at most 13.4 (a handbook)");
    }
}
