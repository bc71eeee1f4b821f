//! The density of moist air, and what it does to the push of a wind. Knows no boat.
//!
//! CIPM-2007: A. Picard, R. S. Davis, M. Gläser and K. Fujii, "Revised formula for the density of moist air (CIPM-2007)",
//! Metrologia 45 (2008) 149–155, with a mole fraction of carbon dioxide of 0.0004. It is a formula for weighing rooms, 15
//! to 27 °C and 600 to 1100 hPa; in all the weather accepted here it stays within 0.02 % of a real-gas equation of state
//! (the tests hold it to that), which is 0.01 % of wind speed.

use super::working::Step;

/// Air as a barometer, a thermometer and a hygrometer give it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// The temperature of the air, in degrees Celsius.
    pub temperature_c: f64,
    /// The pressure at the water, as the barometer reads, in hPa (mbar).
    pub pressure_hpa: f64,
    /// The relative humidity, in percent.
    pub relative_humidity_percent: f64,
}

/// Why there is no density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirError {
    /// `temperature`, `pressure`, `humidity`.
    pub quantity: &'static str,
    /// The value that was given.
    pub value: f64,
    /// The least that can be reckoned with.
    pub least: f64,
    /// The most that can be reckoned with.
    pub most: f64,
    /// The unit of all three.
    pub unit: &'static str,
}

/// The weather in which the formula has been held against another: °C, hPa, percent.
const TEMPERATURES_C: (f64, f64) = (-20.0, 50.0);
const PRESSURES_HPA: (f64, f64) = (850.0, 1100.0);
const HUMIDITIES: (f64, f64) = (0.0, 100.0);

const PASCAL_IN_HECTOPASCAL: f64 = 100.0;
const PERCENT: f64 = 100.0;
/// 0 °C in kelvin, by definition of the Celsius scale.
const ICE_POINT_K: f64 = 273.15;

// All from Picard et al. 2008. The molar mass of dry air over the gas constant, and one less the molar mass of water over
// that of dry air.
const DRY_AIR_K_S2_M2: f64 = 3.483_740e-3;
const LIGHTNESS_OF_VAPOUR: f64 = 0.378_0;

// Saturation vapour pressure over water, below the ice point too: in K⁻², K⁻¹, 1, K.
const SATURATION: [f64; 4] = [1.237_884_7e-5, -1.912_131_6e-2, 33.937_110_47, -6.343_164_5e3];

// Enhancement factor, in 1, Pa⁻¹, °C⁻².
const ENHANCEMENT: [f64; 3] = [1.000_62, 3.14e-8, 5.6e-7];

// Compressibility factor.
const A: [f64; 3] = [1.581_23e-6, -2.933_1e-8, 1.104_3e-10];
const B: [f64; 2] = [5.707e-6, -2.051e-8];
const C: [f64; 2] = [1.989_8e-4, -2.376e-6];
const D: f64 = 1.83e-11;
const E: f64 = -0.765e-8;

impl Air {
    /// The sea-level air of ISO 2533, Standard Atmosphere; it is dry.
    pub const STANDARD: Air = Air { temperature_c: 15.0, pressure_hpa: 1013.25, relative_humidity_percent: 0.0 };

    /// Density in kg/m³.
    ///
    /// ```
    /// use cockpit_cards::tuning::air::Air;
    ///
    /// let tropical = Air { temperature_c: 32.0, pressure_hpa: 1008.0, relative_humidity_percent: 80.0 };
    /// let polar_high = Air { temperature_c: -2.0, pressure_hpa: 1035.0, relative_humidity_percent: 60.0 };
    /// // Moist air is the lighter one, whatever it feels like.
    /// assert!(tropical.density_kg_m3().unwrap() < 1.14);
    /// assert!(polar_high.density_kg_m3().unwrap() > 1.32);
    /// ```
    pub fn density_kg_m3(self) -> Result<f64, AirError> {
        self.check()?;
        let (pressure, kelvin, vapour) = (self.pressure_pa(), self.kelvin(), self.vapour_fraction());
        let compressibility = self.compressibility(vapour);
        Ok(DRY_AIR_K_S2_M2 * pressure / (compressibility * kelvin) * (1.0 - LIGHTNESS_OF_VAPOUR * vapour))
    }

    /// By how much a wind in this air must be multiplied to be the wind of `reference` air that pushes as hard: √(ρ/ρ₀).
    pub fn wind_factor(self, reference: Air) -> Result<f64, AirError> {
        Ok((self.density_kg_m3()? / reference.density_kg_m3()?).sqrt())
    }

    /// The working of [`Air::wind_factor`].
    pub fn steps(self, reference: Air) -> Result<Vec<Step>, AirError> {
        const FORMULA: &str = "CIPM-2007, Picard and others, Metrologia 45 (2008) 149–155";
        Ok(vec![
            Step::new("mole fraction of water vapour", "x = h·f·p_sv/p", self.vapour_fraction(), ""),
            Step::new("density of the air, ρ", FORMULA, self.density_kg_m3()?, "kg/m³"),
            Step::new("density of the reference air, ρ₀", FORMULA, reference.density_kg_m3()?, "kg/m³"),
            Step::new("factor on the wind", "√(ρ/ρ₀): a wind pushes with ρ·v²/2", self.wind_factor(reference)?, ""),
        ])
    }

    fn check(self) -> Result<(), AirError> {
        let asked = [
            ("temperature", self.temperature_c, TEMPERATURES_C, "°C"),
            ("pressure", self.pressure_hpa, PRESSURES_HPA, "hPa"),
            ("humidity", self.relative_humidity_percent, HUMIDITIES, "%"),
        ];
        let wrong = asked.into_iter().find(|(_, value, (least, most), _)| !(*least..=*most).contains(value));
        wrong.map_or(Ok(()), |(quantity, value, (least, most), unit)| {
            Err(AirError { quantity, value, least, most, unit })
        })
    }

    fn kelvin(self) -> f64 {
        self.temperature_c + ICE_POINT_K
    }

    fn pressure_pa(self) -> f64 {
        self.pressure_hpa * PASCAL_IN_HECTOPASCAL
    }

    /// Mole fraction of water vapour.
    fn vapour_fraction(self) -> f64 {
        let (kelvin, pressure) = (self.kelvin(), self.pressure_pa());
        let [square, linear, constant, inverse] = SATURATION;
        let saturation = (square * kelvin * kelvin + linear * kelvin + constant + inverse / kelvin).exp();
        let [alpha, beta, gamma] = ENHANCEMENT;
        let enhancement = alpha + beta * pressure + gamma * self.temperature_c * self.temperature_c;
        self.relative_humidity_percent / PERCENT * enhancement * saturation / pressure
    }

    fn compressibility(self, vapour: f64) -> f64 {
        let (celsius, ratio) = (self.temperature_c, self.pressure_pa() / self.kelvin());
        let pairs = A[0]
            + A[1] * celsius
            + A[2] * celsius * celsius
            + (B[0] + B[1] * celsius) * vapour
            + (C[0] + C[1] * celsius) * vapour * vapour;
        1.0 - ratio * pairs + ratio * ratio * (D + E * vapour * vapour)
    }
}

impl AirError {
    /// What is wrong, for people.
    pub fn what(self) -> String {
        format!("no formula here holds for a {} of {} {}", self.quantity, self.value, self.unit)
    }

    /// What would be right.
    pub fn instead(self) -> String {
        format!("write a {} from {} to {} {}", self.quantity, self.least, self.most, self.unit)
    }
}
