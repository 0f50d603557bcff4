//! The seven species that air and exhaust are made of.

/// Molar gas constant, J/(mol K): exact since the 2019 SI (CODATA 2018).
pub const UNIVERSAL_GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// One ideal-gas species.
#[derive(Debug, Clone, Copy)]
pub struct Species {
    /// Chemical formula.
    pub formula: &'static str,
    /// Molar mass, kg/mol (IUPAC standard atomic weights).
    pub molar_mass: f64,
    /// NASA seven-coefficient polynomial, 200 to 1000 K.
    pub low: [f64; 7],
    /// NASA seven-coefficient polynomial, 1000 to 6000 K.
    pub high: [f64; 7],
}

/// Index of nitrogen in [`SPECIES`].
pub const N2: usize = 0;
/// Index of oxygen.
pub const O2: usize = 1;
/// Index of argon.
pub const AR: usize = 2;
/// Index of carbon dioxide.
pub const CO2: usize = 3;
/// Index of water vapour.
pub const H2O: usize = 4;
/// Index of carbon monoxide.
pub const CO: usize = 5;
/// Index of hydrogen.
pub const H2: usize = 6;

/// The species, in a fixed order.
///
/// Source: McBride, Gordon & Reno, *Coefficients for Calculating Thermodynamic and
/// Transport Properties of Individual Species*, NASA TM-4513 (1993); cp/R = a1 + a2 T +
/// a3 T² + a4 T³ + a5 T⁴.
pub static SPECIES: [Species; 7] = [
    Species {
        formula: "N2",
        molar_mass: 28.014e-3,
        low: [
            3.531_005_28,
            -1.236_609_87e-4,
            -5.029_994_37e-7,
            2.435_306_12e-9,
            -1.408_812_35e-12,
            -1_046.976_28,
            2.967_474_68,
        ],
        high: [
            2.952_576_26,
            1.396_900_57e-3,
            -4.926_316_91e-7,
            7.860_103_67e-11,
            -4.607_553_21e-15,
            -923.948_645,
            5.871_892_52,
        ],
    },
    Species {
        formula: "O2",
        molar_mass: 31.998e-3,
        low: [
            3.782_456_36,
            -2.996_734_15e-3,
            9.847_302e-6,
            -9.681_295_08e-9,
            3.243_728_36e-12,
            -1_063.943_56,
            3.657_675_73,
        ],
        high: [
            3.660_960_83,
            6.563_655_23e-4,
            -1.411_494_85e-7,
            2.057_976_58e-11,
            -1.299_132_48e-15,
            -1_215.977_25,
            3.415_361_84,
        ],
    },
    Species {
        formula: "Ar",
        molar_mass: 39.95e-3,
        low: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.379_674_91],
        high: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.379_674_91],
    },
    Species {
        formula: "CO2",
        molar_mass: 44.009e-3,
        low: [
            2.356_773_52,
            8.984_596_77e-3,
            -7.123_562_69e-6,
            2.459_190_22e-9,
            -1.436_995_48e-13,
            -4.837_196_97e4,
            9.901_052_22,
        ],
        high: [
            4.636_594_93,
            2.741_319_91e-3,
            -9.958_285_31e-7,
            1.603_730_11e-10,
            -9.161_034_68e-15,
            -4.902_493_41e4,
            -1.935_348_55,
        ],
    },
    Species {
        formula: "H2O",
        molar_mass: 18.015e-3,
        low: [
            4.198_640_56,
            -2.036_434_1e-3,
            6.520_402_11e-6,
            -5.487_970_62e-9,
            1.771_978_17e-12,
            -3.029_372_67e4,
            -0.849_032_208,
        ],
        high: [
            2.677_037_87,
            2.973_183_29e-3,
            -7.737_696_9e-7,
            9.443_366_89e-11,
            -4.269_009_59e-15,
            -2.988_589_38e4,
            6.882_555_71,
        ],
    },
    Species {
        formula: "CO",
        molar_mass: 28.010e-3,
        low: [
            3.579_533_47,
            -6.103_536_8e-4,
            1.016_814_33e-6,
            9.070_058_84e-10,
            -9.044_244_99e-13,
            -1.434_408_6e4,
            3.508_409_28,
        ],
        high: [
            3.048_485_83,
            1.351_728_18e-3,
            -4.857_940_75e-7,
            7.885_364_86e-11,
            -4.698_074_89e-15,
            -1.426_611_71e4,
            6.017_097_9,
        ],
    },
    Species {
        formula: "H2",
        molar_mass: 2.016e-3,
        low: [
            2.344_331_12,
            7.980_520_75e-3,
            -1.947_815_1e-5,
            2.015_720_94e-8,
            -7.376_117_61e-12,
            -917.935_173,
            0.683_010_238,
        ],
        high: [
            2.932_865_79,
            8.266_079_67e-4,
            -1.464_023_35e-7,
            1.541_003_59e-11,
            -6.888_044_32e-16,
            -813.065_597,
            -1.024_328_87,
        ],
    },
];
