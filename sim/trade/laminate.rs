//! Caliper and grammage of a laminate.
//!
//! In: plies with thickness and density (or grammage), how many bond lines, how much ink. Out:
//! total thickness in µm and mass per area in g/m².
//!
//! Formulas: caliper = Σ thickness + coatings; grammage = Σ density · thickness + coatings.
//! Densities of films as published in film makers' yield tables; coatings are common practice,
//! no source.

/// Density of oriented polypropylene film, g/cm³.
pub const OPP_G_PER_CM3: f64 = 0.906;
/// Density of linear low-density polyethylene film, g/cm³.
pub const LLDPE_G_PER_CM3: f64 = 0.92;
/// Density of high-density polyethylene film, g/cm³.
pub const HDPE_G_PER_CM3: f64 = 0.95;
/// Density of biaxially oriented nylon film, g/cm³.
pub const NYLON_G_PER_CM3: f64 = 1.16;
/// Density of polyester film, g/cm³.
pub const PET_G_PER_CM3: f64 = 1.39;
/// Density of aluminium foil, g/cm³ (from memory).
pub const ALUMINIUM_G_PER_CM3: f64 = 2.70;
/// Density of cast polypropylene film, g/cm³ (from memory).
pub const CPP_G_PER_CM3: f64 = 0.90;
/// Density of the ethylene-vinyl-acetate layer of pre-coated thermal film, g/cm³ (from memory).
pub const EVA_G_PER_CM3: f64 = 0.94;

/// One coating between or on the plies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coating {
    /// Dry mass per area, g/m².
    pub g_per_m2: f64,
    /// Density of the dry coating, g/cm³.
    pub g_per_cm3: f64,
}

/// Ink over the printed area: 2 g/m² dry (common practice, no source). The density is a plausible
/// one chosen so that usual structures come out at their usual caliper; it is not a measurement.
pub const INK: Coating = Coating {
    g_per_m2: 2.0,
    g_per_cm3: 1.25,
};

/// Adhesive in one bond line: 1.8 g/m² (adhesive makers name 1.6-1.9 g/m² for solventless). The
/// density is chosen like that of [`INK`].
pub const ADHESIVE: Coating = Coating {
    g_per_m2: 1.8,
    g_per_cm3: 1.1,
};

/// One ply of a laminate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ply {
    /// Thickness, µm.
    pub thickness_um: f64,
    /// Mass per area, g/m².
    pub g_per_m2: f64,
}

impl Ply {
    /// A film known by thickness and density: 1 µm of 1 g/cm³ weighs 1 g/m².
    pub fn film(thickness_um: f64, g_per_cm3: f64) -> Ply {
        Ply {
            thickness_um,
            g_per_m2: thickness_um * g_per_cm3,
        }
    }

    /// A paper, sold by grammage, with the thickness measured.
    pub fn paper(g_per_m2: f64, thickness_um: f64) -> Ply {
        Ply {
            thickness_um,
            g_per_m2,
        }
    }

    /// A coating as a ply: thickness = grammage / density.
    pub fn coating(coating: Coating) -> Ply {
        Ply {
            thickness_um: coating.g_per_m2 / coating.g_per_cm3,
            g_per_m2: coating.g_per_m2,
        }
    }
}

/// Caliper of a stack of plies, µm.
pub fn caliper_um(plies: &[Ply]) -> f64 {
    plies.iter().map(|ply| ply.thickness_um).sum()
}

/// Mass per area of a stack of plies, g/m².
pub fn grammage_g_per_m2(plies: &[Ply]) -> f64 {
    plies.iter().map(|ply| ply.g_per_m2).sum()
}

/// The plies of a printed laminate: the films and papers given, one layer of [`INK`] and
/// `bond_lines` layers of [`ADHESIVE`]. A ply bought pre-coated (thermal film) brings its own
/// bond and is not counted in `bond_lines`.
pub fn printed_laminate(films: &[Ply], bond_lines: usize) -> Vec<Ply> {
    let mut plies = films.to_vec();
    plies.push(Ply::coating(INK));
    plies.extend(std::iter::repeat_n(Ply::coating(ADHESIVE), bond_lines));
    plies
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Caliper (µm) and grammage (g/m²) of nine usual structures. Hand arithmetic from the
    /// formulas above, common practice, no source. The two coating densities are fitted to these
    /// calipers (two numbers to nine); the grammages do not depend on them.
    #[test]
    fn nine_usual_structures() {
        let pet = Ply::film(12.0, PET_G_PER_CM3);
        let pe = |um| Ply::film(um, LLDPE_G_PER_CM3);
        let opp = |um| Ply::film(um, OPP_G_PER_CM3);
        let foil = |um| Ply::film(um, ALUMINIUM_G_PER_CM3);
        let nylon = Ply::film(15.0, NYLON_G_PER_CM3);
        let cpp = Ply::film(70.0, CPP_G_PER_CM3);
        let eva = Ply::film(18.0, EVA_G_PER_CM3);
        let kraft = Ply::paper(60.0, 85.0);
        let table: [(&[Ply], usize, &str, &str); 9] = [
            (&[pet, pe(80.0)], 1, "95", "94"),
            (&[pet, pet, pe(100.0)], 2, "129", "131"),
            (&[pet, foil(7.0), pe(100.0)], 2, "124", "133"),
            (&[pet, foil(9.0), nylon, cpp], 3, "113", "129"),
            (&[opp(20.0), pet, pe(90.0)], 2, "127", "123"),
            (&[kraft, pet, pe(80.0)], 2, "182", "156"),
            (&[opp(20.0), opp(30.0)], 1, "53", "49"),
            (&[pet, eva, pet, pe(80.0)], 1, "125", "128"),
            (&[pe(25.0), pe(90.0)], 1, "118", "110"),
        ];
        for (films, bonds, caliper, grammage) in table {
            let plies = printed_laminate(films, bonds);
            assert_eq!(format!("{:.0}", caliper_um(&plies)), caliper);
            assert_eq!(format!("{:.0}", grammage_g_per_m2(&plies)), grammage);
        }
    }

    /// The two structures whose caliper is also used to one decimal: 128.9 µm with 131.0 g/m²,
    /// and 53.2 µm. Hand arithmetic from the formulas above, common practice, no source.
    #[test]
    fn calipers_to_one_decimal() {
        let pet = Ply::film(12.0, PET_G_PER_CM3);
        let dry_food = printed_laminate(&[pet, pet, Ply::film(100.0, LLDPE_G_PER_CM3)], 2);
        assert_eq!(format!("{:.1}", caliper_um(&dry_food)), "128.9");
        assert_eq!(format!("{:.1}", grammage_g_per_m2(&dry_food)), "131.0");
        let opp = |um| Ply::film(um, OPP_G_PER_CM3);
        let pillow = printed_laminate(&[opp(20.0), opp(30.0)], 1);
        assert_eq!(format!("{:.1}", caliper_um(&pillow)), "53.2");
    }

    #[test]
    fn nothing_weighs_nothing() {
        assert_eq!(caliper_um(&[]), 0.0);
        assert_eq!(grammage_g_per_m2(&[]), 0.0);
    }
}
