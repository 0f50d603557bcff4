//! An ideal-gas mixture of fixed composition.

use super::species::{SPECIES, UNIVERSAL_GAS_CONSTANT};

/// Temperature that enthalpy counts from, K.
pub const REFERENCE_TEMPERATURE: f64 = 298.15;

/// Temperature at which the two polynomials of a species meet, K.
const JOIN: f64 = 1000.0;

/// Least and greatest temperature the polynomials are trusted at, K. Outside, they are
/// carried on with the heat capacity they have at the end, so that a search that strays
/// there finds its way back.
const TRUSTED: (f64, f64) = (200.0, 3500.0);

/// An ideal-gas mixture: gas constant and heat capacity as polynomials in temperature.
///
/// Properties are per kilogram of mixture. Valid from 200 to 3,500 K; beyond, heat
/// capacity is held.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    /// Molar mass, kg/mol.
    molar_mass: f64,
    /// Specific gas constant, J/(kg K).
    gas_constant: f64,
    /// Mole fractions in the order of [`SPECIES`].
    mole_fractions: [f64; 7],
    /// cp, h and s polynomials below 1000 K: J/(kg K), J/kg, J/(kg K).
    low: Polynomial,
    /// The same from 1000 K.
    high: Polynomial,
}

#[derive(Debug, Clone, PartialEq)]
struct Polynomial {
    /// cp = c0 + c1 T + c2 T² + c3 T³ + c4 T⁴.
    heat_capacity: [f64; 5],
    /// h = T (e0 + e1 T + …) + constant.
    enthalpy: [f64; 5],
    enthalpy_constant: f64,
    /// s⁰ = c0 ln T + T (s0 + s1 T + …) + constant.
    entropy: [f64; 4],
    entropy_constant: f64,
}

fn horner<const N: usize>(coefficients: &[f64; N], t: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, &c| sum * t + c)
}

impl Polynomial {
    fn mix(moles: &[f64; 7], molar_mass: f64, pick: fn(&super::Species) -> &[f64; 7]) -> Self {
        let per_kilogram = UNIVERSAL_GAS_CONSTANT / molar_mass;
        let mut a = [0.0; 7];
        for (species, x) in SPECIES.iter().zip(moles) {
            for (sum, coefficient) in a.iter_mut().zip(pick(species)) {
                *sum += x * coefficient * per_kilogram;
            }
        }
        Self {
            heat_capacity: [a[0], a[1], a[2], a[3], a[4]],
            enthalpy: [a[0], a[1] / 2.0, a[2] / 3.0, a[3] / 4.0, a[4] / 5.0],
            enthalpy_constant: a[5],
            entropy: [a[1], a[2] / 2.0, a[3] / 3.0, a[4] / 4.0],
            entropy_constant: a[6],
        }
    }

    fn raw_enthalpy(&self, t: f64) -> f64 {
        t * horner(&self.enthalpy, t) + self.enthalpy_constant
    }

    fn raw_entropy(&self, t: f64) -> f64 {
        self.heat_capacity[0] * t.ln() + t * horner(&self.entropy, t) + self.entropy_constant
    }
}

impl Mixture {
    /// A mixture from mole amounts (any scale) in the order of [`SPECIES`].
    ///
    /// The amounts must be finite, not negative, and not all zero; a mixture of nothing is
    /// taken as nitrogen.
    #[must_use]
    pub fn from_moles(moles: [f64; 7]) -> Self {
        let total: f64 = moles.iter().sum();
        let mole_fractions = if total > 0.0 && total.is_finite() {
            moles.map(|n| n / total)
        } else {
            [1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]
        };
        let molar_mass = SPECIES
            .iter()
            .zip(&mole_fractions)
            .map(|(s, x)| s.molar_mass * x)
            .sum();
        let mut low = Polynomial::mix(&mole_fractions, molar_mass, |s| &s.low);
        let mut high = Polynomial::mix(&mole_fractions, molar_mass, |s| &s.high);
        // Enthalpy counts from 298.15 K, and both branches agree to the bit where they meet, so
        // that a search across 1000 K sees no step (the published ones differ by parts in 1e6).
        low.enthalpy_constant -= low.raw_enthalpy(REFERENCE_TEMPERATURE);
        high.enthalpy_constant += low.raw_enthalpy(JOIN) - high.raw_enthalpy(JOIN);
        high.entropy_constant += low.raw_entropy(JOIN) - high.raw_entropy(JOIN);
        Self {
            molar_mass,
            gas_constant: UNIVERSAL_GAS_CONSTANT / molar_mass,
            mole_fractions,
            low,
            high,
        }
    }

    fn branch(&self, t: f64) -> &Polynomial {
        if t < JOIN { &self.low } else { &self.high }
    }

    /// Molar mass, kg/mol.
    #[must_use]
    pub fn molar_mass(&self) -> f64 {
        self.molar_mass
    }

    /// Specific gas constant, J/(kg K).
    #[must_use]
    pub fn gas_constant(&self) -> f64 {
        self.gas_constant
    }

    /// Mole fractions in the order of [`SPECIES`].
    #[must_use]
    pub fn mole_fractions(&self) -> &[f64; 7] {
        &self.mole_fractions
    }

    /// Heat capacity at constant pressure, J/(kg K), at `t` in K.
    #[must_use]
    pub fn heat_capacity(&self, t: f64) -> f64 {
        let t = t.clamp(TRUSTED.0, TRUSTED.1);
        horner(&self.branch(t).heat_capacity, t)
    }

    /// Ratio of heat capacities at `t` in K.
    #[must_use]
    pub fn gamma(&self, t: f64) -> f64 {
        let cp = self.heat_capacity(t);
        cp / (cp - self.gas_constant)
    }

    /// Enthalpy above that at 298.15 K, J/kg, at `t` in K.
    #[must_use]
    pub fn enthalpy(&self, t: f64) -> f64 {
        let held = t.clamp(TRUSTED.0, TRUSTED.1);
        let inside = self.branch(held).raw_enthalpy(held);
        if held == t {
            inside
        } else {
            inside + (t - held) * self.heat_capacity(held)
        }
    }

    /// Temperature-dependent part of the entropy, J/(kg K), at `t` in K: s(T, p) = s⁰(T) − R ln p.
    #[must_use]
    pub fn entropy(&self, t: f64) -> f64 {
        let held = t.clamp(TRUSTED.0, TRUSTED.1);
        let inside = self.branch(held).raw_entropy(held);
        if held == t {
            inside
        } else {
            inside + self.heat_capacity(held) * (t.max(1.0) / held).ln()
        }
    }

    /// Temperature, K, at which the enthalpy is `h` in J/kg (above 298.15 K).
    ///
    /// Enthalpy rises with temperature everywhere and bends little, so Newton's method from
    /// `near` (any temperature in K) settles in two or three steps.
    #[must_use]
    pub fn temperature_from_enthalpy(&self, h: f64, near: f64) -> f64 {
        let mut t = near.clamp(TRUSTED.0, TRUSTED.1);
        for _ in 0..40 {
            let step = (h - self.enthalpy(t)) / self.heat_capacity(t);
            t += step;
            // Newton squares what is left: a step of three parts in a million leaves one in 1e12.
            if step.abs() < 3e-6 * t.abs() {
                break;
            }
        }
        t
    }

    /// Temperature, K, after an isentropic change from `t` in K by the pressure ratio `ratio`
    /// (outlet over inlet, above zero): s⁰(T₂) = s⁰(T₁) + R ln(p₂/p₁).
    #[must_use]
    pub fn isentropic_temperature(&self, t: f64, ratio: f64) -> f64 {
        let rise = self.gas_constant * ratio.ln();
        // In x = ln(T₂/T₁) the entropy is nearly straight, so Newton's method settles at once. The
        // heat capacity half way, which need only be near, gives the first place.
        let half = 0.5 * rise / self.heat_capacity(t);
        let middle = t * (1.0 + half * (1.0 + 0.5 * half));
        let mut x = rise / self.heat_capacity(middle);
        let start = self.entropy_parts(t);
        let mut log_t = None;
        for _ in 0..40 {
            let here = t * x.exp();
            let end = self.entropy_parts(here);
            // s⁰ = c₀ ln T + rest; with one c₀ on both sides the logarithm of T₁ drops out.
            let mut gained = end.0 * x + end.1 - start.1;
            if end.0 != start.0 {
                gained += (end.0 - start.0) * *log_t.get_or_insert_with(|| t.ln());
            }
            let step = (rise - gained) / self.heat_capacity(here);
            x += step;
            // It squares what is left: a step of three parts in a million leaves one in 1e12.
            if step.abs() < 3e-6 {
                break;
            }
        }
        t * x.exp()
    }

    /// Entropy as (c₀, rest): s⁰ = c₀ ln T + rest. Beyond the trusted range heat capacity is held,
    /// which makes it the c₀.
    fn entropy_parts(&self, t: f64) -> (f64, f64) {
        let held = t.clamp(TRUSTED.0, TRUSTED.1);
        let branch = self.branch(held);
        let rest = held * horner(&branch.entropy, held) + branch.entropy_constant;
        if held == t {
            (branch.heat_capacity[0], rest)
        } else {
            let cp = self.heat_capacity(held);
            let inside = branch.heat_capacity[0] * held.ln() + rest;
            (cp, inside - cp * held.ln())
        }
    }

    /// Isentropic enthalpy change, J/kg, from `t` in K by the pressure ratio `ratio`: above zero
    /// for a compression, below for an expansion.
    #[must_use]
    pub fn isentropic_work(&self, t: f64, ratio: f64) -> f64 {
        self.enthalpy(self.isentropic_temperature(t, ratio)) - self.enthalpy(t)
    }
}
