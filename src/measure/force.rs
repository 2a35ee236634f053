//! Forces and weights as a maker says them: pounds in a job in inches, newtons and kilograms in one in millimetres.

use super::Units;

/// Newtons in a pound of force, exact: the avoirdupois pound of 0.453 592 37 kg at standard gravity (NIST SP 811, B.8).
const NEWTONS_IN_A_POUND: f64 = KILOGRAMS_IN_A_POUND * 9.806_65;
/// Kilograms in an avoirdupois pound, exact (NIST SP 811, B.8).
const KILOGRAMS_IN_A_POUND: f64 = 0.453_592_37;

/// The unit that forces are said in.
#[must_use]
pub const fn force_unit(units: Units) -> &'static str {
    match units {
        Units::Inch => "lb",
        Units::Millimetre => "N",
    }
}

/// A force in that unit.
#[must_use]
pub fn force(newtons: f64, units: Units) -> f64 {
    match units {
        Units::Inch => newtons / NEWTONS_IN_A_POUND,
        Units::Millimetre => newtons,
    }
}

/// A force without its unit: to half a pound, or to a newton, for it is an estimate.
#[must_use]
pub fn show_force(newtons: f64, units: Units) -> String {
    let value = match units {
        Units::Inch => (force(newtons, units) * 2.0).round() / 2.0,
        Units::Millimetre => newtons.round(),
    };
    // Nought has no sign.
    format!("{}", value + 0.0)
}

/// A weight with its unit: `4.4 lb`, `2.0 kg`.
#[must_use]
pub fn show_weight(kilograms: f64, units: Units) -> String {
    match units {
        Units::Inch => format!("{:.1} lb", kilograms / KILOGRAMS_IN_A_POUND),
        Units::Millimetre => format!("{kilograms:.1} kg"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811: 1 lbf = 4.448 222 N. The limit for operable parts, 22.2 N, is published beside 5 lbf.
    #[test]
    fn a_pound_is_four_and_a_half_newtons() {
        assert!((force(4.448_222, Units::Inch) - 1.0).abs() < 1e-6);
        assert_eq!(show_force(22.2, Units::Inch), "5");
        assert_eq!(show_force(19.0, Units::Inch), "4.5");
        assert_eq!((show_force(-0.2, Units::Inch), show_force(-0.2, Units::Millimetre)), ("0".into(), "0".into()));
        assert_eq!(show_force(19.4, Units::Millimetre), "19");
        assert_eq!(
            (show_weight(2.0, Units::Inch), show_weight(2.0, Units::Millimetre)),
            ("4.4 lb".into(), "2.0 kg".into())
        );
    }
}
