//! Formats of one web; `pouches.rs` says what holds for all.

use pouchcast::trade::Format;

use super::pouches::Case;

/// The cases, two lanes first.
pub const CASES: &[Case] = &[
    // Drawing: 2 x 200 + 2 x 40 = 480 across, 100 along; 2 lanes and 20 mm of edge trims on 1000 mm: 960 / 1000 =
    // 96.0 %, 20 mm left.
    // Pouch: 21 000 x 0.1 / 2 = 1050 m good; / 0.96 = 1093.75; + 40 = 1133.75: 1134 m.
    // Slit: 1134 / 0.99 = 1145.45; + 10 = 1155.45: 1156 m. Lam: 1156 / 0.98 = 1179.59; + 20 = 1199.59: 1200 m; 1
    // roll.
    // Reels: 1156 of 1190 m are 1 set, 2 reels, 2 at a time: 1 loads, 1 at a start, 0 changes.
    // Web: 1200 x 1 = 1200 m2; 120.000 kg; 600.00 EUR.
    // Planned: 1134 / 0.1 = 11 340 cycles, / 50 = 226.8 min.
    // Run: lam 1200 m, 120 min; (1200 - 20) x 0.98 = 1156.4 m come to slit, 115.64 min; (1156.4 - 10) x 0.99 =
    // 1134.936 m come to pouch:
    // 1134.936 / 0.1 / 50 = 226.987 min. Good: (1134.936 - 40) / 0.1 x 2 x 0.96 = 21 022.8: 21 023.
    Case {
        name: "stand_up, two lanes",
        format: Format::StandUp,
        product: "format: stand_up, width: 100 mm, height: 200 mm, gusset: 40 mm, laminate: film, web: 1000 mm, lanes: 2",
        lanes: 2,
        unwinds: 2,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed 2 x height + 2 x gusset = 2 x 200 + 2 x 40 = 480 mm a lane",
            "pitch 100 mm of web a pouch",
            "body web 2 x 480 mm on 1000 mm: 96.0 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 100 mm / 2 lanes / (1 - 4 %) + 40 = 1134 m",
            "slit 1134 / (1 - 1 %) + 10 = 1156 m",
            "lam 1156 / (1 - 2 %) + 20 = 1200 m",
            "rolls 1200 m / at most 4960 m a roll = 1 roll",
            "web 1200 m x 1000 mm = 1200 m2 x 100 g/m2 = 120 kg; at 0.5 a m2 600 EUR",
            "run 1200 m / 10 m/min + 10 / (60 x 1000) = 120 min",
            "run 1134 m / 100 mm = 11 340 cycles / 50 a min = 226.8 min",
            "reels 2, 2 at a time: 0 further x 5 min and 2 m",
        ],
        minutes: &[("lam", 120.0), ("slit", 115.64), ("pouch", 226.987)],
        metres: 1200.0,
        m2: 1200.0,
        kg: 120.0,
        eur: 600.0,
        good: 21023,
    },
    // Drawing: 2 x 200 + 2 x 40 = 480 across, 100 along; 1 lane and 20 mm of edge trims on 520 mm: 480 / 520 = 92.3
    // %, 20 mm left.
    // Pouch: 21 000 x 0.1 = 2100 m good; / 0.96 = 2187.5; + 2 x 40 = 2267.5: 2268 m.
    // Slit: 2268 / 0.99 = 2290.91; + 10 = 2300.91: 2301 m. Lam: 2301 / 0.98 = 2347.96; + 20 = 2367.96: 2368 m; 1
    // roll.
    // Reels: 2301 of 1190 m are 2 sets, 2 reels, 1 at a time: 2 loads, 2 at a start, 0 changes.
    // Web: 2368 x 0.52 = 1231.36 m2; 123.136 kg; 615.68 EUR.
    // Planned: 2268 / 0.1 = 22 680 cycles, / 50 = 453.6 min.
    // Run: lam 2368 m, 236.8 min; (2368 - 20) x 0.98 = 2301.04 m come to slit, 230.104 min; (2301.04 - 10) x 0.99 =
    // 2268.13 m come to pouch:
    // 2268.13 / 0.1 / 50 = 453.626 min. Good: (1134.065 - 40) / 0.1 x 0.96 = 10 503: 10 503 of each artwork.
    Case {
        name: "stand_up, two artworks",
        format: Format::StandUp,
        product: "format: stand_up, width: 100 mm, height: 200 mm, gusset: 40 mm, laminate: film, web: 520 mm, lanes: 1",
        lanes: 1,
        unwinds: 1,
        quantity: 10000,
        artworks: 2,
        page: &[
            "developed 2 x height + 2 x gusset = 2 x 200 + 2 x 40 = 480 mm a lane",
            "pitch 100 mm of web a pouch",
            "body web 1 x 480 mm on 520 mm: 92.3 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 100 mm / 1 lane / (1 - 4 %) + 2 starts x 40 = 2268 m",
            "slit 2268 / (1 - 1 %) + 10 = 2301 m",
            "lam 2301 / (1 - 2 %) + 20 = 2368 m",
            "rolls 2368 m / at most 4960 m a roll = 1 roll",
            "web 2368 m x 520 mm = 1231.4 m2 x 100 g/m2 = 123.1 kg; at 0.5 a m2 615.68 EUR",
            "run 2368 m / 10 m/min + 10 / (60 x 1000) = 236.8 min",
            "run 2268 m / 100 mm = 22 680 cycles / 50 a min = 453.6 min",
            "reels 2, 1 at a time: 0 further x 5 min and 2 m",
        ],
        minutes: &[("lam", 236.8), ("slit", 230.104), ("pouch", 453.626)],
        metres: 2368.0,
        m2: 1231.36,
        kg: 123.136,
        eur: 615.68,
        good: 21006,
    },
    // Drawing: 2 x 160 + 2 x 30 = 380 across, 80 along; 2 lanes and 20 mm of edge trims on 800 mm: 760 / 800 = 95.0
    // %, 20 mm left.
    // Spout: 21 000 / 0.95 = 22 105.26: 22 106 pouches, at 100 a minute.
    // Pouch: 22 106 x 0.08 / 2 = 884.24 m good; / 0.96 = 921.08; + 40 = 961.08: 962 m.
    // Slit: 962 / 0.99 = 971.72; + 10 = 981.72: 982 m. Lam: 982 / 0.98 = 1002.04; + 20 = 1022.04: 1023 m; 1 roll.
    // Reels: 982 of 1190 m are 1 set, 2 reels, 2 at a time: 1 loads, 1 at a start, 0 changes.
    // Web: 1023 x 0.8 = 818.4 m2; 81.840 kg; 409.20 EUR.
    // Planned: 962 / 0.08 = 12 025 cycles, / 50 = 240.5 min.
    // Run: lam 1023 m, 102.3 min; (1023 - 20) x 0.98 = 982.94 m come to slit, 98.294 min; (982.94 - 10) x 0.99 =
    // 963.211 m come to pouch:
    // 963.211 / 0.08 / 50 = 240.803 min. Good: (963.211 - 40) / 0.08 x 2 x 0.96 = 22 157.1: 22 157.
    // Spout: 22 157 / 100 = 221.57 min; 1107.9 are lost: 21 049 are good.
    Case {
        name: "spouted, two lanes",
        format: Format::Spouted,
        product: "format: spouted, width: 80 mm, height: 160 mm, gusset: 30 mm, laminate: film, web: 800 mm, lanes: 2",
        lanes: 2,
        unwinds: 2,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed 2 x height + 2 x gusset = 2 x 160 + 2 x 30 = 380 mm a lane",
            "pitch 80 mm of web a pouch",
            "body web 2 x 380 mm on 800 mm: 95.0 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "spout 21 000 / (1 - 5 %) = 22 106 pieces",
            "run 22 106 / 100 a min = 221.1 min",
            "pouch 22 106 x 80 mm / 2 lanes / (1 - 4 %) + 40 = 962 m",
            "slit 962 / (1 - 1 %) + 10 = 982 m",
            "lam 982 / (1 - 2 %) + 20 = 1023 m",
            "rolls 1023 m / at most 4960 m a roll = 1 roll",
            "web 1023 m x 800 mm = 818.4 m2 x 100 g/m2 = 81.8 kg; at 0.5 a m2 409.2 EUR",
            "run 1023 m / 10 m/min + 10 / (60 x 1000) = 102.3 min",
            "run 962 m / 80 mm = 12 025 cycles / 50 a min = 240.5 min",
            "reels 2, 2 at a time: 0 further x 5 min and 2 m",
        ],
        minutes: &[
            ("lam", 102.3),
            ("slit", 98.294),
            ("pouch", 240.803),
            ("spout", 221.57),
        ],
        metres: 1023.0,
        m2: 818.4,
        kg: 81.84,
        eur: 409.2,
        good: 21049,
    },
    // Drawing: 2 x 160 + 2 x 30 = 380 across, 80 along; 1 lane and 20 mm of edge trims on 420 mm: 380 / 420 = 90.5
    // %, 20 mm left.
    // Spout: 21 000 / 0.95 = 22 105.26: 22 106 pouches, at 100 a minute.
    // Pouch: 22 106 x 0.08 = 1768.48 m good; / 0.96 = 1842.17; + 2 x 40 = 1922.17: 1923 m.
    // Slit: 1923 / 0.99 = 1942.42; + 10 = 1952.42: 1953 m. Lam: 1953 / 0.98 = 1992.86; + 20 = 2012.86: 2013 m; 1
    // roll.
    // Reels: 1953 of 1190 m are 2 sets, 2 reels, 1 at a time: 2 loads, 2 at a start, 0 changes.
    // Web: 2013 x 0.42 = 845.46 m2; 84.546 kg; 422.73 EUR.
    // Planned: 1923 / 0.08 = 24 037.5 cycles, / 50 = 480.75 min.
    // Run: lam 2013 m, 201.3 min; (2013 - 20) x 0.98 = 1953.14 m come to slit, 195.314 min; (1953.14 - 10) x 0.99 =
    // 1923.709 m come to pouch:
    // 1923.709 / 0.08 / 50 = 480.927 min. Good: (961.854 - 40) / 0.08 x 0.96 = 11 062.3: 11 062 of each artwork.
    // Spout: 22 124 / 100 = 221.24 min; 553.1 of each are lost: 21 018 are good.
    Case {
        name: "spouted, two artworks",
        format: Format::Spouted,
        product: "format: spouted, width: 80 mm, height: 160 mm, gusset: 30 mm, laminate: film, web: 420 mm, lanes: 1",
        lanes: 1,
        unwinds: 1,
        quantity: 10000,
        artworks: 2,
        page: &[
            "developed 2 x height + 2 x gusset = 2 x 160 + 2 x 30 = 380 mm a lane",
            "pitch 80 mm of web a pouch",
            "body web 1 x 380 mm on 420 mm: 90.5 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "spout 21 000 / (1 - 5 %) = 22 106 pieces",
            "run 22 106 / 100 a min = 221.1 min",
            "pouch 22 106 x 80 mm / 1 lane / (1 - 4 %) + 2 starts x 40 = 1923 m",
            "slit 1923 / (1 - 1 %) + 10 = 1953 m",
            "lam 1953 / (1 - 2 %) + 20 = 2013 m",
            "rolls 2013 m / at most 4960 m a roll = 1 roll",
            "web 2013 m x 420 mm = 845.5 m2 x 100 g/m2 = 84.5 kg; at 0.5 a m2 422.73 EUR",
            "run 2013 m / 10 m/min + 10 / (60 x 1000) = 201.3 min",
            "run 1923 m / 80 mm = 24 038 cycles / 50 a min = 480.8 min",
            "reels 2, 1 at a time: 0 further x 5 min and 2 m",
        ],
        minutes: &[
            ("lam", 201.3),
            ("slit", 195.314),
            ("pouch", 480.927),
            ("spout", 221.24),
        ],
        metres: 2013.0,
        m2: 845.46,
        kg: 84.546,
        eur: 422.73,
        good: 21018,
    },
    // Drawing: 2 x 150 = 300 across, 100 along; 2 lanes and 20 mm of edge trims on 640 mm: 600 / 640 = 93.8 %, 20
    // mm left.
    // Pouch: 21 000 x 0.1 / 2 = 1050 m good; / 0.96 = 1093.75; + 40 = 1133.75: 1134 m.
    // Slit: 1134 / 0.99 = 1145.45; + 10 = 1155.45: 1156 m. Lam: 1156 / 0.98 = 1179.59; + 20 = 1199.59: 1200 m; 1
    // roll.
    // Reels: 1156 of 1190 m are 1 set, 2 reels, 2 at a time: 1 loads, 1 at a start, 0 changes.
    // Web: 1200 x 0.64 = 768 m2; 76.800 kg; 384.00 EUR.
    // Planned: 1134 / 0.1 = 11 340 cycles, / 50 = 226.8 min.
    // Run: lam 1200 m, 120 min; (1200 - 20) x 0.98 = 1156.4 m come to slit, 115.64 min; (1156.4 - 10) x 0.99 =
    // 1134.936 m come to pouch:
    // 1134.936 / 0.1 / 50 = 226.987 min. Good: (1134.936 - 40) / 0.1 x 2 x 0.96 = 21 022.8: 21 023.
    Case {
        name: "three_side, two lanes",
        format: Format::ThreeSide,
        product: "format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm, lanes: 2",
        lanes: 2,
        unwinds: 2,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed 2 x height = 2 x 150 = 300 mm a lane",
            "pitch 100 mm of web a pouch",
            "body web 2 x 300 mm on 640 mm: 93.8 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 100 mm / 2 lanes / (1 - 4 %) + 40 = 1134 m",
            "slit 1134 / (1 - 1 %) + 10 = 1156 m",
            "lam 1156 / (1 - 2 %) + 20 = 1200 m",
            "rolls 1200 m / at most 4960 m a roll = 1 roll",
            "web 1200 m x 640 mm = 768 m2 x 100 g/m2 = 76.8 kg; at 0.5 a m2 384 EUR",
            "run 1200 m / 10 m/min + 10 / (60 x 1000) = 120 min",
            "run 1134 m / 100 mm = 11 340 cycles / 50 a min = 226.8 min",
            "reels 2, 2 at a time: 0 further x 5 min and 2 m",
        ],
        minutes: &[("lam", 120.0), ("slit", 115.64), ("pouch", 226.987)],
        metres: 1200.0,
        m2: 768.0,
        kg: 76.8,
        eur: 384.0,
        good: 21023,
    },
    // Drawing: 2 x 150 = 300 across, 100 along; 1 lane and 20 mm of edge trims on 340 mm: 300 / 340 = 88.2 %, 20 mm
    // left.
    // Pouch: 21 000 x 0.1 = 2100 m good; / 0.96 = 2187.5; + 2 x 40 = 2267.5: 2268 m.
    // Slit: 2268 / 0.99 = 2290.91; + 10 = 2300.91: 2301 m. Lam: 2301 / 0.98 = 2347.96; + 20 = 2367.96: 2368 m; 1
    // roll.
    // Reels: 2301 of 1190 m are 2 sets, 2 reels, 1 at a time: 2 loads, 2 at a start, 0 changes.
    // Web: 2368 x 0.34 = 805.12 m2; 80.512 kg; 402.56 EUR.
    // Planned: 2268 / 0.1 = 22 680 cycles, / 50 = 453.6 min.
    // Run: lam 2368 m, 236.8 min; (2368 - 20) x 0.98 = 2301.04 m come to slit, 230.104 min; (2301.04 - 10) x 0.99 =
    // 2268.13 m come to pouch:
    // 2268.13 / 0.1 / 50 = 453.626 min. Good: (1134.065 - 40) / 0.1 x 0.96 = 10 503: 10 503 of each artwork.
    Case {
        name: "three_side, two artworks",
        format: Format::ThreeSide,
        product: "format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 340 mm, lanes: 1",
        lanes: 1,
        unwinds: 1,
        quantity: 10000,
        artworks: 2,
        page: &[
            "developed 2 x height = 2 x 150 = 300 mm a lane",
            "pitch 100 mm of web a pouch",
            "body web 1 x 300 mm on 340 mm: 88.2 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 100 mm / 1 lane / (1 - 4 %) + 2 starts x 40 = 2268 m",
            "slit 2268 / (1 - 1 %) + 10 = 2301 m",
            "lam 2301 / (1 - 2 %) + 20 = 2368 m",
            "rolls 2368 m / at most 4960 m a roll = 1 roll",
            "web 2368 m x 340 mm = 805.1 m2 x 100 g/m2 = 80.5 kg; at 0.5 a m2 402.56 EUR",
            "run 2368 m / 10 m/min + 10 / (60 x 1000) = 236.8 min",
            "run 2268 m / 100 mm = 22 680 cycles / 50 a min = 453.6 min",
            "reels 2, 1 at a time: 0 further x 5 min and 2 m",
        ],
        minutes: &[("lam", 236.8), ("slit", 230.104), ("pouch", 453.626)],
        metres: 2368.0,
        m2: 805.12,
        kg: 80.512,
        eur: 402.56,
        good: 21006,
    },
    // Drawing: 2 x 120 + 2 x 60 + 20 + 8 x 5 = 420 across, 300 along; 2 lanes and 20 mm of edge trims on 880 mm:
    // 840 / 880 = 95.5 %, 20 mm left.
    // Pouch: 21 000 x 0.3 / 2 = 3150 m good; / 0.96 = 3281.25; + 40 + 2 x 2 = 3325.25: 3326 m.
    // Slit: 3326 / 0.99 = 3359.6; + 10 = 3369.6: 3370 m. Lam: 3370 / 0.98 = 3438.78; + 20 = 3458.78: 3459 m; 1
    // roll.
    // Reels: 3370 of 1190 m are 3 sets, 6 reels, 2 at a time: 3 loads, 1 at a start, 2 changes.
    // Web: 3459 x 0.88 = 3043.92 m2; 304.392 kg; 1521.96 EUR.
    // Planned: 3326 / 0.3 = 11 086.67 cycles, / 50 = 221.73 min.
    // Run: lam 3459 m, 345.9 min; (3459 - 20) x 0.98 = 3370.22 m come to slit, 337.022 min; (3370.22 - 10) x 0.99 =
    // 3326.618 m come to pouch:
    // 3326.618 / 0.3 / 50 + 2 x 5 = 231.775 min. Good: (3326.618 - 40 - 4) / 0.3 x 2 x 0.96 = 21 008.8: 21 009.
    Case {
        name: "quad_seal, two lanes",
        format: Format::QuadSeal,
        product: "format: quad_seal, width: 120 mm, height: 300 mm, gusset: 60 mm, overlap: 20 mm, fin: 5 mm, laminate: film, web: 880 mm, lanes: 2",
        lanes: 2,
        unwinds: 2,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed 2 x width + 2 x depth + seam + 8 fins = 2 x 120 + 2 x 60 + 20 + 8 x 5 = 420 mm a lane",
            "pitch 300 mm of web a pouch",
            "body web 2 x 420 mm on 880 mm: 95.5 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 300 mm / 2 lanes / (1 - 4 %) + 40 + 2 changes x 2 = 3326 m",
            "slit 3326 / (1 - 1 %) + 10 = 3370 m",
            "lam 3370 / (1 - 2 %) + 20 = 3459 m",
            "rolls 3459 m / at most 4960 m a roll = 1 roll",
            "web 3459 m x 880 mm = 3043.9 m2 x 100 g/m2 = 304.4 kg; at 0.5 a m2 1521.96 EUR",
            "run 3459 m / 10 m/min + 10 / (60 x 1000) = 345.9 min",
            "run 3326 m / 300 mm = 11 087 cycles / 50 a min = 221.7 min",
            "reels 6, 2 at a time: 2 further x 5 min and 2 m",
        ],
        minutes: &[("lam", 345.9), ("slit", 337.022), ("pouch", 231.775)],
        metres: 3459.0,
        m2: 3043.92,
        kg: 304.392,
        eur: 1521.96,
        good: 21009,
    },
    // Drawing: 2 x 120 + 2 x 60 + 20 + 8 x 5 = 420 across, 300 along; 1 lane and 20 mm of edge trims on 460 mm: 420
    // / 460 = 91.3 %, 20 mm left.
    // Pouch: 12 600 x 0.3 = 3780 m good; / 0.96 = 3937.5; + 2 x 40 + 2 x 2 = 4021.5: 4022 m.
    // Slit: 4022 / 0.99 = 4062.63; + 10 = 4072.63: 4073 m. Lam: 4073 / 0.98 = 4156.12; + 20 = 4176.12: 4177 m; 1
    // roll.
    // Reels: 4073 of 1190 m are 4 sets, 4 reels, 1 at a time: 4 loads, 2 at a start, 2 changes.
    // Web: 4177 x 0.46 = 1921.42 m2; 192.142 kg; 960.71 EUR.
    // Planned: 4022 / 0.3 = 13 406.67 cycles, / 50 = 268.13 min.
    // Run: lam 4177 m, 417.7 min; (4177 - 20) x 0.98 = 4073.86 m come to slit, 407.386 min; (4073.86 - 10) x 0.99 =
    // 4023.221 m come to pouch:
    // 4023.221 / 0.3 / 50 + 2 x 5 = 278.215 min. Good: (2011.611 - 40 - 2) / 0.3 x 0.96 = 6302.8: 6303 of each
    // artwork.
    Case {
        name: "quad_seal, two artworks",
        format: Format::QuadSeal,
        product: "format: quad_seal, width: 120 mm, height: 300 mm, gusset: 60 mm, overlap: 20 mm, fin: 5 mm, laminate: film, web: 460 mm, lanes: 1",
        lanes: 1,
        unwinds: 1,
        quantity: 6000,
        artworks: 2,
        page: &[
            "developed 2 x width + 2 x depth + seam + 8 fins = 2 x 120 + 2 x 60 + 20 + 8 x 5 = 420 mm a lane",
            "pitch 300 mm of web a pouch",
            "body web 1 x 420 mm on 460 mm: 91.3 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 12 000 x (1 + 5 %) = 12 600",
            "pouch 12 600 x 300 mm / 1 lane / (1 - 4 %) + 2 starts x 40 + 2 changes x 2 = 4022 m",
            "slit 4022 / (1 - 1 %) + 10 = 4073 m",
            "lam 4073 / (1 - 2 %) + 20 = 4177 m",
            "rolls 4177 m / at most 4960 m a roll = 1 roll",
            "web 4177 m x 460 mm = 1921.4 m2 x 100 g/m2 = 192.1 kg; at 0.5 a m2 960.71 EUR",
            "run 4177 m / 10 m/min + 10 / (60 x 1000) = 417.7 min",
            "run 4022 m / 300 mm = 13 407 cycles / 50 a min = 268.1 min",
            "reels 4, 1 at a time: 2 further x 5 min and 2 m",
        ],
        minutes: &[("lam", 417.7), ("slit", 407.386), ("pouch", 278.215)],
        metres: 4177.0,
        m2: 1921.42,
        kg: 192.142,
        eur: 960.71,
        good: 12606,
    },
    // Drawing: 2 x 120 + 20 = 260 across, a metre along; 2 lanes and 20 mm of edge trims on 560 mm: 520 / 560 =
    // 92.9 %, 20 mm left.
    // Slit: 2100 / 2 / 0.99 = 1060.61; + 10 = 1070.61: 1071 m. Lam: 1071 / 0.98 = 1092.86; + 20 = 1112.86: 1113 m;
    // 1 roll.
    // Web: 1113 x 0.56 = 623.28 m2; 62.328 kg; 311.64 EUR.
    // Run: lam 1113 m, 111.3 min; (1113 - 20) x 0.98 = 1071.14 m come to slit, 107.114 min; (1071.14 - 10) x 0.99 x
    // 2 = 2101.057 m of reel: 2101 whole metres.
    Case {
        name: "roll_stock, two lanes",
        format: Format::RollStock,
        product: "format: roll_stock, width: 120 mm, height: 160 mm, overlap: 20 mm, laminate: film, web: 560 mm, lanes: 2",
        lanes: 2,
        unwinds: 2,
        quantity: 2000,
        artworks: 1,
        page: &[
            "developed 2 x width + seam = 2 x 120 + 20 = 260 mm a lane",
            "pitch ordered and counted by the metre; cut off at 160 mm",
            "body web 2 x 260 mm on 560 mm: 92.9 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 2000 x (1 + 5 %) = 2100",
            "slit 1050 / (1 - 1 %) + 10 = 1071 m",
            "lam 1071 / (1 - 2 %) + 20 = 1113 m",
            "rolls 1113 m / at most 4960 m a roll = 1 roll",
            "web 1113 m x 560 mm = 623.3 m2 x 100 g/m2 = 62.3 kg; at 0.5 a m2 311.64 EUR",
            "run 1113 m / 10 m/min + 10 / (60 x 1000) = 111.3 min",
        ],
        minutes: &[("lam", 111.3), ("slit", 107.114)],
        metres: 1113.0,
        m2: 623.28,
        kg: 62.328,
        eur: 311.64,
        good: 2101,
    },
    // Drawing: 2 x 120 + 20 = 260 across, a metre along; 1 lane and 20 mm of edge trims on 300 mm: 260 / 300 = 86.7
    // %, 20 mm left.
    // Slit: 1050 / 0.99 = 1060.61; + 10 = 1070.61: 1071 m. Lam: 1071 / 0.98 = 1092.86; + 20 = 1112.86: 1113 m; 1
    // roll.
    // Web: 1113 x 0.3 = 333.9 m2; 33.390 kg; 166.95 EUR.
    // Run: lam 1113 m, 111.3 min; (1113 - 20) x 0.98 = 1071.14 m come to slit, 107.114 min; (1071.14 - 10) x 0.99 =
    // 1050.529 m of reel: 1050 whole metres. Two webs of their own: all of it twice.
    Case {
        name: "roll_stock, two artworks",
        format: Format::RollStock,
        product: "format: roll_stock, width: 120 mm, height: 160 mm, overlap: 20 mm, laminate: film, web: 300 mm, lanes: 1",
        lanes: 1,
        unwinds: 1,
        quantity: 1000,
        artworks: 2,
        page: &[
            "developed 2 x width + seam = 2 x 120 + 20 = 260 mm a lane",
            "pitch ordered and counted by the metre; cut off at 160 mm",
            "body web 1 x 260 mm on 300 mm: 86.7 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 1000 x (1 + 5 %) = 1050",
            "slit 1050 / (1 - 1 %) + 10 = 1071 m",
            "lam 1071 / (1 - 2 %) + 20 = 1113 m",
            "rolls 1113 m / at most 4960 m a roll = 1 roll",
            "web 1113 m x 300 mm = 333.9 m2 x 100 g/m2 = 33.4 kg; at 0.5 a m2 166.95 EUR",
            "run 1113 m / 10 m/min + 10 / (60 x 1000) = 111.3 min",
        ],
        minutes: &[("lam", 222.6), ("slit", 214.228)],
        metres: 2226.0,
        m2: 667.8,
        kg: 66.78,
        eur: 333.9,
        good: 2100,
    },
];
