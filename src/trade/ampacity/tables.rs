//! The ampacity tables and their factors, as printed.

use crate::trade::conductor::Size::{self, *};

/// Columns of 33 CFR 183.425 table 5: insulation temperature in C.
pub(super) const CFR_COLUMNS: [u16; 7] = [60, 75, 80, 90, 105, 125, 200];

/// 33 CFR 183.425 table 5: amperes at 30 C ambient by size and column.
pub(super) const CFR_TABLE_5: [(Size, [f64; 7]); 15] = [
    (Awg18, [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    (Awg16, [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    (Awg14, [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (Awg12, [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (Awg10, [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    (Awg8, [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    (Awg6, [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    (Awg4, [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    (Awg3, [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    (Awg2, [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    (Awg1, [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    (Awg1_0, [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    (Awg2_0, [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    (Awg3_0, [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    (Awg4_0, [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

/// Note 1 of table 5: engine-space factor by column.
pub(super) const CFR_ENGINE_SPACE: [Option<f64>; 7] =
    [Some(0.58), Some(0.75), Some(0.78), Some(0.82), Some(0.85), Some(0.89), Some(1.0)];

/// Note 2 of table 5: the smallest number of current-carrying conductors, and the factor from that number up.
pub(super) const CFR_BUNDLE: [(usize, f64); 5] = [(0, 1.0), (3, 0.7), (4, 0.6), (7, 0.5), (25, 0.4)];

/// Columns of the ISO table: insulation temperature in C. The column for 85 and 90 C counts as 85.
pub(super) const ISO_COLUMNS: [u16; 6] = [60, 70, 85, 105, 125, 200];

/// ISO 13297 annex A: amperes of a single conductor at 30 C ambient by size and column.
pub(super) const ISO_TABLE: [(Size, [f64; 6]); 14] = [
    (Mm0_75, [8.0, 10.0, 12.0, 16.0, 20.0, 25.0]),
    (Mm1, [12.0, 14.0, 18.0, 20.0, 25.0, 35.0]),
    (Mm1_5, [16.0, 18.0, 21.0, 25.0, 30.0, 40.0]),
    (Mm2_5, [20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (Mm4, [30.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (Mm6, [40.0, 45.0, 50.0, 60.0, 70.0, 75.0]),
    (Mm10, [60.0, 65.0, 70.0, 90.0, 100.0, 120.0]),
    (Mm16, [80.0, 90.0, 100.0, 130.0, 150.0, 170.0]),
    (Mm25, [110.0, 120.0, 140.0, 170.0, 185.0, 200.0]),
    (Mm35, [140.0, 160.0, 185.0, 210.0, 225.0, 240.0]),
    (Mm50, [180.0, 210.0, 230.0, 270.0, 300.0, 325.0]),
    (Mm70, [220.0, 265.0, 285.0, 330.0, 360.0, 375.0]),
    (Mm95, [260.0, 310.0, 330.0, 390.0, 410.0, 430.0]),
    (Mm120, [300.0, 360.0, 400.0, 450.0, 480.0, 520.0]),
];

/// Engine-space factor of the ISO table by column. The 60 C column has none: 60 C insulation is not allowed
/// there.
pub(super) const ISO_ENGINE_SPACE: [Option<f64>; 6] =
    [None, Some(0.75), Some(0.82), Some(0.86), Some(0.89), Some(1.0)];
