//! Handbook figures of the woods: shrinkage, dimensional change, specific gravity, modulus of elasticity.
//!
//! Source: Forest Products Laboratory, *Wood Handbook: Wood as an Engineering Material*, General Technical Report
//! FPL-GTR-190 (2010): shrinkage from Tables 4-3 and 4-4, coefficients from Table 13-5, specific gravity at 12 %
//! moisture and modulus of elasticity from Tables 5-3 and 5-5. Figures marked `from_memory` below were entered
//! without the table at hand; mahogany's and teak's coefficients among them could not be recomputed from their
//! shrinkage and are to be taken with care.

/// Handbook figures of one wood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wood {
    /// Settled name, lower case.
    pub name: &'static str,
    /// Radial shrinkage, green to ovendry, percent.
    pub shrinkage_radial: f64,
    /// Tangential shrinkage, green to ovendry, percent.
    pub shrinkage_tangential: f64,
    /// Dimensional change per percent of moisture content, radial, 6 to 14 %.
    pub change_radial: f64,
    /// Dimensional change per percent of moisture content, tangential, 6 to 14 %.
    pub change_tangential: f64,
    /// Specific gravity: ovendry mass over the volume at 12 % moisture content; `None` where the table has none.
    pub specific_gravity: Option<f64>,
    /// Modulus of elasticity along the grain at 12 % moisture content, megapascals.
    pub elasticity: f64,
    /// True where shrinkage or coefficients were entered from memory.
    pub from_memory: bool,
}

const fn wood(
    name: &'static str,
    shrinkage: (f64, f64),
    change: (f64, f64),
    specific_gravity: Option<f64>,
    elasticity: f64,
    from_memory: bool,
) -> Wood {
    Wood {
        name,
        shrinkage_radial: shrinkage.0,
        shrinkage_tangential: shrinkage.1,
        change_radial: change.0,
        change_tangential: change.1,
        specific_gravity,
        elasticity,
        from_memory,
    }
}

/// Every wood with figures, by name. The oaks carry the coefficients of the table's commercial groups, as the table
/// lists no others; their shrinkage is that of northern red oak and white oak (*Quercus alba*).
pub const WOODS: [Wood; 17] = [
    wood("american beech", (5.5, 11.9), (0.001_90, 0.004_31), Some(0.64), 11_900.0, false),
    wood("black cherry", (3.7, 7.1), (0.001_26, 0.002_48), Some(0.50), 10_300.0, false),
    wood("black walnut", (5.5, 7.8), (0.001_90, 0.002_74), Some(0.55), 11_600.0, false),
    wood("douglas-fir", (4.8, 7.6), (0.001_65, 0.002_67), Some(0.48), 13_400.0, true),
    wood("eastern white pine", (2.1, 6.1), (0.000_71, 0.002_12), Some(0.35), 8_500.0, true),
    wood("mahogany", (3.0, 4.1), (0.001_72, 0.002_38), None, 10_300.0, true),
    wood("northern red oak", (4.0, 8.6), (0.001_58, 0.003_69), Some(0.63), 12_500.0, false),
    wood("red alder", (4.4, 7.3), (0.001_51, 0.002_56), Some(0.41), 9_500.0, false),
    wood("red maple", (4.0, 8.2), (0.001_37, 0.002_89), Some(0.54), 11_300.0, false),
    wood("silver maple", (3.0, 7.2), (0.001_02, 0.002_52), Some(0.47), 7_900.0, false),
    wood("sugar maple", (4.8, 9.9), (0.001_65, 0.003_53), Some(0.63), 12_600.0, false),
    wood("teak", (2.5, 5.8), (0.001_01, 0.001_86), None, 10_700.0, true),
    wood("western redcedar", (2.4, 5.0), (0.001_11, 0.002_34), Some(0.32), 7_700.0, true),
    wood("white ash", (4.9, 7.8), (0.001_69, 0.002_74), Some(0.60), 12_000.0, false),
    wood("white oak", (5.6, 10.5), (0.001_80, 0.003_65), Some(0.68), 12_300.0, false),
    wood("yellow birch", (7.3, 9.5), (0.002_56, 0.003_38), Some(0.62), 13_900.0, false),
    wood("yellow-poplar", (4.6, 8.2), (0.001_58, 0.002_89), Some(0.42), 10_900.0, true),
];

/// The figures of a wood by its settled name.
#[must_use]
pub fn wood_named(name: &str) -> Option<&'static Wood> {
    WOODS.iter().find(|wood| wood.name == name)
}

/// How a dimension lies in the log, a board taken as flat-sawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// Square to the growth rings: a flat-sawn board's thickness.
    Radial,
    /// Along the growth rings: a flat-sawn board's width.
    Tangential,
}

impl Wood {
    /// Change per percent of moisture content.
    #[must_use]
    pub const fn coefficient(&self, grain: Grain) -> f64 {
        match grain {
            Grain::Radial => self.change_radial,
            Grain::Tangential => self.change_tangential,
        }
    }

    /// Change of a dimension between two moisture contents (percent), in the dimension's unit.
    ///
    /// Within 6 to 14 % by the coefficient (equation 13-2), outside it by the shrinkage (equation 13-3), in which the
    /// fibre saturation point is taken as 30 %; moisture beyond that changes nothing more.
    #[must_use]
    pub fn change(&self, grain: Grain, dimension: f64, from: f64, to: f64) -> f64 {
        let linear = 6.0..=14.0;
        if linear.contains(&from) && linear.contains(&to) {
            return dimension * self.coefficient(grain) * (to - from);
        }
        let shrinkage = match grain {
            Grain::Radial => self.shrinkage_radial,
            Grain::Tangential => self.shrinkage_tangential,
        };
        let (from, to) = (from.clamp(0.0, SATURATION), to.clamp(0.0, SATURATION));
        dimension * (to - from) / (SATURATION * 100.0 / shrinkage - SATURATION + from)
    }

    /// Mass per volume at 12 % moisture content, kilograms per cubic metre.
    #[must_use]
    pub fn density(&self) -> Option<f64> {
        self.specific_gravity.map(|gravity| gravity * 1_000.0 * 1.12)
    }
}

/// Moisture content at which the cell walls are full, percent.
const SATURATION: f64 = 30.0;

/// Equilibrium moisture content in percent at a temperature in degrees Fahrenheit and a relative humidity in percent:
/// the Hailwood-Horrobin sorption equation with the Wood Handbook's constants (GTR-190, equation 4-5). It reproduces
/// the handbook's Table 4-2 at 70 degrees Fahrenheit within 0.06.
///
/// ```
/// let m = slatwright::doors::wood::equilibrium_moisture(70.0, 50.0);
/// assert!((m - 9.2).abs() < 0.06);
/// ```
#[must_use]
pub fn equilibrium_moisture(fahrenheit: f64, humidity: f64) -> f64 {
    let t = fahrenheit;
    let h = (humidity / 100.0).clamp(0.0, 1.0);
    let weight = 330.0 + 0.452 * t + 0.004_15 * t * t;
    let k = 0.791 + 0.000_463 * t - 0.000_000_844 * t * t;
    let k1 = 6.34 + 0.000_775 * t - 0.000_093_5 * t * t;
    let k2 = 1.09 + 0.028_4 * t - 0.000_090_4 * t * t;
    let kh = k * h;
    let double = k1 * k2 * kh * kh;
    1_800.0 / weight * (kh / (1.0 - kh) + (k1 * kh + 2.0 * double) / (1.0 + k1 * kh + double))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_sorted_and_unique() {
        assert!(WOODS.windows(2).all(|pair| pair[0].name < pair[1].name));
    }

    #[test]
    fn the_handbooks_white_fir_board() {
        // GTR-190 p. 13-17: a flat-grained white fir board 232 mm (9.15 in) wide, 8 to 11 %, grows 1.7 mm (0.067 in)
        // to 233.7 mm (9.217 in). C_T = 0.00245 from memory, checked against S_T = 7.0 below.
        let fir = wood("white fir", (3.3, 7.0), (0.001_12, 0.002_45), None, 1.0, true);
        let metric = fir.change(Grain::Tangential, 232.0, 8.0, 11.0);
        assert!((metric - 1.7).abs() < 0.05 && (232.0 + metric - 233.7).abs() < 0.05);
        let inch = fir.change(Grain::Tangential, 9.15, 8.0, 11.0);
        assert!((inch - 0.067).abs() < 0.000_5 && (9.15 + inch - 9.217).abs() < 0.000_5);
    }

    #[test]
    fn coefficients_agree_with_the_shrinkage() {
        // C = (S/f) / (1 - S (f - 10)/f) with S as a share and f = 30 %, 22 % for western redcedar: both columns come
        // from the same measurements. Not so for the commercial oak groups, mahogany and teak.
        for wood in &WOODS {
            if ["northern red oak", "white oak", "mahogany", "teak"].contains(&wood.name) {
                continue;
            }
            let f = if wood.name == "western redcedar" { 22.0 } else { 30.0 };
            let pairs =
                [(wood.shrinkage_radial, wood.change_radial), (wood.shrinkage_tangential, wood.change_tangential)];
            for (percent, coefficient) in pairs {
                let share = percent / 100.0;
                let computed = (share / f) / (1.0 - share * (f - 10.0) / f);
                assert!((computed - coefficient).abs() < 1.1e-5, "{}: {computed} {coefficient}", wood.name);
            }
        }
    }

    #[test]
    fn equilibrium_moisture_follows_table_4_2() {
        // GTR-190 Table 4-2, 70 degrees Fahrenheit, 5 to 95 % in steps of 5 (from memory; 30 %: 6.2 and 50 %: 9.2 seen).
        let table =
            [1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0, 17.9, 20.5, 23.9];
        for (i, expected) in table.into_iter().enumerate() {
            let humidity = 5.0 * (i as f64 + 1.0);
            let computed = equilibrium_moisture(70.0, humidity);
            assert!((computed - expected).abs() <= 0.07, "{humidity} %: {computed}");
        }
        // Other temperatures: the same equation with the Celsius constants of GTR-190, a second set.
        for fahrenheit in [30.0, 50.0, 90.0, 110.0, 140.0] {
            for humidity in [20.0, 50.0, 80.0] {
                let both = (equilibrium_moisture(fahrenheit, humidity), celsius(fahrenheit, humidity));
                assert!((both.0 - both.1).abs() < 0.1, "{fahrenheit} {humidity}: {both:?}");
            }
        }
    }

    fn celsius(fahrenheit: f64, humidity: f64) -> f64 {
        let t = (fahrenheit - 32.0) / 1.8;
        let w = 349.0 + 1.29 * t + 0.0135 * t * t;
        let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
        let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
        let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
        let kh = k * humidity / 100.0;
        1_800.0 / w * (kh / (1.0 - kh) + (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh))
    }

    #[test]
    fn doors_change_as_worked_out() {
        // 24 in of flat-sawn red oak over 4 %: 24 x .00369 x 4 = .354 in; quarter-sawn .152 in.
        let oak = wood_named("northern red oak").unwrap();
        assert!((oak.change(Grain::Tangential, 24.0, 8.0, 12.0) - 0.354).abs() < 0.000_5);
        assert!((oak.change(Grain::Radial, 24.0, 8.0, 12.0) - 0.152).abs() < 0.000_5);
        // Outside 6 to 14 % by shrinkage: 232 x 3 / (3000/7 - 30 + 8) for white fir.
        let fir = wood("white fir", (3.3, 7.0), (0.001_12, 0.002_45), None, 1.0, true);
        assert!((fir.change(Grain::Tangential, 232.0, 5.0, 8.0) - 232.0 * 3.0 / (3_000.0 / 7.0 - 25.0)).abs() < 1e-9);
        assert_eq!(wood_named("unobtainium"), None);
    }
}
