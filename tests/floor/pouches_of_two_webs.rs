//! Formats of two webs; `pouches.rs` says what holds for all.

use pouchcast::trade::Format;

use super::pouches::Case;

/// The cases, two lanes first.
pub const CASES: &[Case] = &[
    // Drawing: 2 x 200 = 400 across, 120 along; 2 lanes and 20 mm of edge trims on 840 mm: 800 / 840 = 95.2 %, 20
    // mm left.
    // Pouch: 21 000 x 0.12 / 2 = 1260 m good; / 0.96 = 1312.5; + 40 + 1 x 2 = 1354.5: 1355 m.
    // Slit: 1355 / 0.99 = 1368.69; + 10 = 1378.69: 1379 m. Lam: 1379 / 0.98 = 1407.14; + 20 = 1427.14: 1428 m; 1
    // roll.
    // Reels: 1379 of 1190 m are 2 sets, 4 reels, 2 at a time: 2 loads, 1 at a start, 1 change.
    // Web: 1428 x 0.84 = 1199.52 m2; 119.952 kg; 599.76 EUR.
    // Planned: 1355 / 0.12 = 11 291.67 cycles, / 50 = 225.83 min.
    // 2nd: 2 x 40 x 2 lanes = 160 across, 120 along; 3 on 500 mm with 20 mm of trims: 96.0 %. Beside the body 1355
    // = 1355 m of reel; / 3 = 451.67.
    // Slit: 451.67 / 0.99 = 456.23; + 10 = 466.23: 467 m. Lam: 467 / 0.98 = 476.53; + 20 = 496.53: 497 m; 1 roll.
    // Web: 497 x 0.5 = 248.5 m2; x 0.08 = 19.880 kg; x 0.30 = 74.55 EUR. Together 1448.02 m2; 139.832 kg; 674.31
    // EUR.
    // Run: lam 1428 + 497 m, 192.5 min; (1428 - 20) x 0.98 = 1379.84 and (497 - 20) x 0.98 = 467.46 m come to slit,
    // 184.73 min; (1379.84 - 10) x 0.99 = 1356.142 m come to pouch:
    // 1356.142 / 0.12 / 50 + 1 x 5 = 231.024 min. Good: (1356.142 - 40 - 2) / 0.12 x 2 x 0.96 = 21 026.3: 21 026.
    Case {
        name: "stand_up_inserted, two lanes",
        format: Format::StandUpInserted,
        product: "format: stand_up_inserted, width: 120 mm, height: 200 mm, gusset: 40 mm, laminate: film, web: 840 mm, lanes: 2, second_web: { laminate: clear, web: 500 mm }",
        lanes: 2,
        unwinds: 3,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed 2 x height = 2 x 200 = 400 mm a lane",
            "pitch 120 mm of web a pouch",
            "body web 2 x 400 mm on 840 mm: 95.2 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 120 mm / 2 lanes / (1 - 4 %) + 40 + 1 changes x 2 = 1355 m",
            "slit 1355 / (1 - 1 %) + 10 = 1379 m",
            "lam 1379 / (1 - 2 %) + 20 = 1428 m",
            "rolls 1428 m / at most 4960 m a roll = 1 roll",
            "web 1428 m x 840 mm = 1199.5 m2 x 100 g/m2 = 120 kg; at 0.5 a m2 599.76 EUR",
            "run 1428 m / 10 m/min + 10 / (60 x 1000) = 142.8 min",
            "run 1355 m / 120 mm = 11 292 cycles / 50 a min = 225.8 min",
            "reels 4, 2 at a time: 1 further x 5 min and 2 m",
            "second web 3 x 160 mm on 500 mm: 96.0 % of the web, 20 mm for trims, 0 mm not used",
            "slit 451.67 / (1 - 1 %) + 10 = 467 m",
            "lam 467 / (1 - 2 %) + 20 = 497 m",
            "rolls 497 m / at most 6200 m a roll = 1 roll",
            "web 497 m x 500 mm = 248.5 m2 x 80 g/m2 = 19.9 kg; at 0.3 a m2 74.55 EUR",
            "run 497 m / 10 m/min + 10 / (60 x 1000) = 49.7 min",
        ],
        minutes: &[("lam", 192.5), ("slit", 184.73), ("pouch", 231.024)],
        metres: 1925.0,
        m2: 1448.02,
        kg: 139.832,
        eur: 674.31,
        good: 21026,
    },
    // Drawing: 2 x 200 = 400 across, 120 along; 1 lane and 20 mm of edge trims on 440 mm: 400 / 440 = 90.9 %, 20 mm
    // left.
    // Pouch: 31 500 x 0.12 = 3780 m good; / 0.96 = 3937.5; + 2 x 40 + 2 x 2 = 4021.5: 4022 m.
    // Slit: 4022 / 0.99 = 4062.63; + 10 = 4072.63: 4073 m. Lam: 4073 / 0.98 = 4156.12; + 20 = 4176.12: 4177 m; 1
    // roll.
    // Reels: 4073 of 1190 m are 4 sets, 4 reels, 1 at a time: 4 loads, 2 at a start, 2 changes.
    // Web: 4177 x 0.44 = 1837.88 m2; 183.788 kg; 918.94 EUR.
    // Planned: 4022 / 0.12 = 33 516.67 cycles, / 50 = 670.33 min.
    // 2nd: 2 x 40 = 80 across, 120 along; 6 on 500 mm with 20 mm of trims: 96.0 %. Beside the body 4022 = 4022 m of
    // reel; / 6 = 670.33.
    // Slit: 670.33 / 0.99 = 677.1; + 10 = 687.1: 688 m. Lam: 688 / 0.98 = 702.04; + 20 = 722.04: 723 m; 1 roll.
    // Web: 723 x 0.5 = 361.5 m2; x 0.08 = 28.920 kg; x 0.30 = 108.45 EUR. Together 2199.38 m2; 212.708 kg; 1027.39
    // EUR.
    // Run: lam 4177 + 723 m, 490 min; (4177 - 20) x 0.98 = 4073.86 and (723 - 20) x 0.98 = 688.94 m come to slit,
    // 476.28 min; (4073.86 - 10) x 0.99 = 4023.221 m come to pouch:
    // 4023.221 / 0.12 / 50 + 2 x 5 = 680.537 min. Good: (2011.611 - 40 - 2) / 0.12 x 0.96 = 15 756.9: 15 757 of
    // each artwork.
    Case {
        name: "stand_up_inserted, two artworks",
        format: Format::StandUpInserted,
        product: "format: stand_up_inserted, width: 120 mm, height: 200 mm, gusset: 40 mm, laminate: film, web: 440 mm, lanes: 1, second_web: { laminate: clear, web: 500 mm }",
        lanes: 1,
        unwinds: 2,
        quantity: 15000,
        artworks: 2,
        page: &[
            "developed 2 x height = 2 x 200 = 400 mm a lane",
            "pitch 120 mm of web a pouch",
            "body web 1 x 400 mm on 440 mm: 90.9 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 30 000 x (1 + 5 %) = 31 500",
            "pouch 31 500 x 120 mm / 1 lane / (1 - 4 %) + 2 starts x 40 + 2 changes x 2 = 4022 m",
            "slit 4022 / (1 - 1 %) + 10 = 4073 m",
            "lam 4073 / (1 - 2 %) + 20 = 4177 m",
            "rolls 4177 m / at most 4960 m a roll = 1 roll",
            "web 4177 m x 440 mm = 1837.9 m2 x 100 g/m2 = 183.8 kg; at 0.5 a m2 918.94 EUR",
            "run 4177 m / 10 m/min + 10 / (60 x 1000) = 417.7 min",
            "run 4022 m / 120 mm = 33 517 cycles / 50 a min = 670.3 min",
            "reels 4, 1 at a time: 2 further x 5 min and 2 m",
            "second web 6 x 80 mm on 500 mm: 96.0 % of the web, 20 mm for trims, 0 mm not used",
            "slit 670.33 / (1 - 1 %) + 10 = 688 m",
            "lam 688 / (1 - 2 %) + 20 = 723 m",
            "rolls 723 m / at most 6200 m a roll = 1 roll",
            "web 723 m x 500 mm = 361.5 m2 x 80 g/m2 = 28.9 kg; at 0.3 a m2 108.45 EUR",
            "run 723 m / 10 m/min + 10 / (60 x 1000) = 72.3 min",
        ],
        minutes: &[("lam", 490.0), ("slit", 476.28), ("pouch", 680.537)],
        metres: 4900.0,
        m2: 2199.38,
        kg: 212.708,
        eur: 1027.39,
        good: 31514,
    },
    // Drawing: 200 + 50 = 250 across, 150 along; 2 lanes and 20 mm of edge trims on 540 mm: 500 / 540 = 92.6 %, 20
    // mm left.
    // Pouch: 21 000 x 0.15 / 2 = 1575 m good; / 0.96 = 1640.62; + 40 + 1 x 2 = 1682.62: 1683 m.
    // Slit: 1683 / 0.99 = 1700; + 10 = 1710: 1710 m. Lam: 1710 / 0.98 = 1744.9; + 20 = 1764.9: 1765 m; 1 roll.
    // Reels: 1710 of 1190 m are 2 sets, 4 reels, 2 at a time: 2 loads, 1 at a start, 1 change.
    // Web: 1765 x 0.54 = 953.1 m2; 95.310 kg; 476.55 EUR.
    // Planned: 1683 / 0.15 = 11 220 cycles, / 50 = 224.4 min.
    // 2nd: 200 + 50 = 250 across, 150 along; 2 on 540 mm with 20 mm of trims: 92.6 %. Beside the body 1683 x 2
    // lanes = 3366 m of reel; / 2 = 1683.
    // Slit: 1683 / 0.99 = 1700; + 10 = 1710: 1710 m. Lam: 1710 / 0.98 = 1744.9; + 20 = 1764.9: 1765 m; 1 roll.
    // Web: 1765 x 0.54 = 953.1 m2; x 0.08 = 76.248 kg; x 0.30 = 285.93 EUR. Together 1906.2 m2; 171.558 kg; 762.48
    // EUR.
    // Run: lam 1765 + 1765 m, 353 min; (1765 - 20) x 0.98 = 1710.1 and (1765 - 20) x 0.98 = 1710.1 m come to slit,
    // 342.02 min; (1710.1 - 10) x 0.99 = 1683.099 m come to pouch:
    // 1683.099 / 0.15 / 50 + 1 x 5 = 229.413 min. Good: (1683.099 - 40 - 2) / 0.15 x 2 x 0.96 = 21 006.1: 21 006.
    Case {
        name: "stand_up_two_web, two lanes",
        format: Format::StandUpTwoWeb,
        product: "format: stand_up_two_web, width: 150 mm, height: 200 mm, gusset: 50 mm, laminate: film, web: 540 mm, lanes: 2, second_web: { laminate: clear }",
        lanes: 2,
        unwinds: 4,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed height + gusset = 200 + 50 = 250 mm a lane",
            "pitch 150 mm of web a pouch",
            "body web 2 x 250 mm on 540 mm: 92.6 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 150 mm / 2 lanes / (1 - 4 %) + 40 + 1 changes x 2 = 1683 m",
            "slit 1683 / (1 - 1 %) + 10 = 1710 m",
            "lam 1710 / (1 - 2 %) + 20 = 1765 m",
            "rolls 1765 m / at most 4960 m a roll = 1 roll",
            "web 1765 m x 540 mm = 953.1 m2 x 100 g/m2 = 95.3 kg; at 0.5 a m2 476.55 EUR",
            "run 1765 m / 10 m/min + 10 / (60 x 1000) = 176.5 min",
            "run 1683 m / 150 mm = 11 220 cycles / 50 a min = 224.4 min",
            "reels 4, 2 at a time: 1 further x 5 min and 2 m",
            "second web 2 x 250 mm on 540 mm: 92.6 % of the web, 20 mm for trims, 20 mm not used",
            "slit 1683 / (1 - 1 %) + 10 = 1710 m",
            "lam 1710 / (1 - 2 %) + 20 = 1765 m",
            "rolls 1765 m / at most 6200 m a roll = 1 roll",
            "web 1765 m x 540 mm = 953.1 m2 x 80 g/m2 = 76.2 kg; at 0.3 a m2 285.93 EUR",
            "run 1765 m / 10 m/min + 10 / (60 x 1000) = 176.5 min",
        ],
        minutes: &[("lam", 353.0), ("slit", 342.02), ("pouch", 229.413)],
        metres: 3530.0,
        m2: 1906.2,
        kg: 171.558,
        eur: 762.48,
        good: 21006,
    },
    // Drawing: 200 + 50 = 250 across, 150 along; 1 lane and 20 mm of edge trims on 290 mm: 250 / 290 = 86.2 %, 20
    // mm left.
    // Pouch: 25 200 x 0.15 = 3780 m good; / 0.96 = 3937.5; + 2 x 40 + 2 x 2 = 4021.5: 4022 m.
    // Slit: 4022 / 0.99 = 4062.63; + 10 = 4072.63: 4073 m. Lam: 4073 / 0.98 = 4156.12; + 20 = 4176.12: 4177 m; 1
    // roll.
    // Reels: 4073 of 1190 m are 4 sets, 4 reels, 1 at a time: 4 loads, 2 at a start, 2 changes.
    // Web: 4177 x 0.29 = 1211.33 m2; 121.133 kg; 605.66 EUR.
    // Planned: 4022 / 0.15 = 26 813.33 cycles, / 50 = 536.27 min.
    // 2nd: 200 + 50 = 250 across, 150 along; 1 on 290 mm with 20 mm of trims: 86.2 %. Beside the body 4022 = 4022 m
    // of reel; / 1 = 4022.
    // Slit: 4022 / 0.99 = 4062.63; + 10 = 4072.63: 4073 m. Lam: 4073 / 0.98 = 4156.12; + 20 = 4176.12: 4177 m; 1
    // roll.
    // Web: 4177 x 0.29 = 1211.33 m2; x 0.08 = 96.906 kg; x 0.30 = 363.40 EUR. Together 2422.66 m2; 218.039 kg;
    // 969.06 EUR.
    // Run: lam 4177 + 4177 m, 835.4 min; (4177 - 20) x 0.98 = 4073.86 and (4177 - 20) x 0.98 = 4073.86 m come to
    // slit, 814.772 min; (4073.86 - 10) x 0.99 = 4023.221 m come to pouch:
    // 4023.221 / 0.15 / 50 + 2 x 5 = 546.43 min. Good: (2011.611 - 40 - 2) / 0.15 x 0.96 = 12 605.5: 12 606 of each
    // artwork.
    Case {
        name: "stand_up_two_web, two artworks",
        format: Format::StandUpTwoWeb,
        product: "format: stand_up_two_web, width: 150 mm, height: 200 mm, gusset: 50 mm, laminate: film, web: 290 mm, lanes: 1, second_web: { laminate: clear }",
        lanes: 1,
        unwinds: 2,
        quantity: 12000,
        artworks: 2,
        page: &[
            "developed height + gusset = 200 + 50 = 250 mm a lane",
            "pitch 150 mm of web a pouch",
            "body web 1 x 250 mm on 290 mm: 86.2 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 24 000 x (1 + 5 %) = 25 200",
            "pouch 25 200 x 150 mm / 1 lane / (1 - 4 %) + 2 starts x 40 + 2 changes x 2 = 4022 m",
            "slit 4022 / (1 - 1 %) + 10 = 4073 m",
            "lam 4073 / (1 - 2 %) + 20 = 4177 m",
            "rolls 4177 m / at most 4960 m a roll = 1 roll",
            "web 4177 m x 290 mm = 1211.3 m2 x 100 g/m2 = 121.1 kg; at 0.5 a m2 605.66 EUR",
            "run 4177 m / 10 m/min + 10 / (60 x 1000) = 417.7 min",
            "run 4022 m / 150 mm = 26 813 cycles / 50 a min = 536.3 min",
            "reels 4, 1 at a time: 2 further x 5 min and 2 m",
            "second web 1 x 250 mm on 290 mm: 86.2 % of the web, 20 mm for trims, 20 mm not used",
            "slit 4022 / (1 - 1 %) + 10 = 4073 m",
            "lam 4073 / (1 - 2 %) + 20 = 4177 m",
            "rolls 4177 m / at most 6200 m a roll = 1 roll",
            "web 4177 m x 290 mm = 1211.3 m2 x 80 g/m2 = 96.9 kg; at 0.3 a m2 363.4 EUR",
            "run 4177 m / 10 m/min + 10 / (60 x 1000) = 417.7 min",
        ],
        minutes: &[("lam", 835.4), ("slit", 814.772), ("pouch", 546.43)],
        metres: 8354.0,
        m2: 2422.66,
        kg: 218.0394,
        eur: 969.064,
        good: 25212,
    },
    // Drawing: 2 x 260 + 80 = 600 across, 140 along; 2 lanes and 20 mm of edge trims on 1240 mm: 1200 / 1240 = 96.8
    // %, 20 mm left.
    // Pouch: 21 000 x 0.14 / 2 = 1470 m good; / 0.96 = 1531.25; + 40 + 1 x 2 = 1573.25: 1574 m.
    // Slit: 1574 / 0.99 = 1589.9; + 10 = 1599.9: 1600 m. Lam: 1600 / 0.98 = 1632.65; + 20 = 1652.65: 1653 m; 1
    // roll.
    // Reels: 1600 of 1190 m are 2 sets, 4 reels, 2 at a time: 2 loads, 1 at a start, 1 change.
    // Web: 1653 x 1.24 = 2049.72 m2; 204.972 kg; 1024.86 EUR.
    // Planned: 1574 / 0.14 = 11 242.86 cycles, / 50 = 224.86 min.
    // 2nd: 260 = 260 across, 160 along; 3 on 800 mm with 20 mm of trims: 97.5 %. Beside the body 1574 x 160 / 140 x
    // 2 lanes = 3597.71 m of reel; / 3 = 1199.24.
    // Slit: 1199.24 / 0.99 = 1211.35; + 10 = 1221.35: 1222 m. Lam: 1222 / 0.98 = 1246.94; + 20 = 1266.94: 1267 m; 1
    // roll.
    // Web: 1267 x 0.8 = 1013.6 m2; x 0.08 = 81.088 kg; x 0.30 = 304.08 EUR. Together 3063.32 m2; 286.060 kg;
    // 1328.94 EUR.
    // Run: lam 1653 + 1267 m, 292 min; (1653 - 20) x 0.98 = 1600.34 and (1267 - 20) x 0.98 = 1222.06 m come to
    // slit, 282.24 min; (1600.34 - 10) x 0.99 = 1574.437 m come to pouch:
    // 1574.437 / 0.14 / 50 + 1 x 5 = 229.92 min. Good: (1574.437 - 40 - 2) / 0.14 x 2 x 0.96 = 21 016.3: 21 016.
    Case {
        name: "flat_bottom, two lanes",
        format: Format::FlatBottom,
        product: "format: flat_bottom, width: 140 mm, height: 260 mm, gusset: 80 mm, laminate: film, web: 1240 mm, lanes: 2, second_web: { laminate: clear, web: 800 mm }",
        lanes: 2,
        unwinds: 4,
        quantity: 20000,
        artworks: 1,
        page: &[
            "developed 2 x height + depth = 2 x 260 + 80 = 600 mm a lane",
            "pitch 140 mm of web a pouch",
            "body web 2 x 600 mm on 1240 mm: 96.8 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 20 000 x (1 + 5 %) = 21 000",
            "pouch 21 000 x 140 mm / 2 lanes / (1 - 4 %) + 40 + 1 changes x 2 = 1574 m",
            "slit 1574 / (1 - 1 %) + 10 = 1600 m",
            "lam 1600 / (1 - 2 %) + 20 = 1653 m",
            "rolls 1653 m / at most 4960 m a roll = 1 roll",
            "web 1653 m x 1240 mm = 2049.7 m2 x 100 g/m2 = 205 kg; at 0.5 a m2 1024.86 EUR",
            "run 1653 m / 10 m/min + 10 / (60 x 1000) = 165.3 min",
            "run 1574 m / 140 mm = 11 243 cycles / 50 a min = 224.9 min",
            "reels 4, 2 at a time: 1 further x 5 min and 2 m",
            "second web 3 x 260 mm on 800 mm: 97.5 % of the web, 20 mm for trims, 0 mm not used",
            "slit 1199.24 / (1 - 1 %) + 10 = 1222 m",
            "lam 1222 / (1 - 2 %) + 20 = 1267 m",
            "rolls 1267 m / at most 6200 m a roll = 1 roll",
            "web 1267 m x 800 mm = 1013.6 m2 x 80 g/m2 = 81.1 kg; at 0.3 a m2 304.08 EUR",
            "run 1267 m / 10 m/min + 10 / (60 x 1000) = 126.7 min",
        ],
        minutes: &[("lam", 292.0), ("slit", 282.24), ("pouch", 229.92)],
        metres: 2920.0,
        m2: 3063.32,
        kg: 286.06,
        eur: 1328.94,
        good: 21016,
    },
    // Drawing: 2 x 260 + 80 = 600 across, 140 along; 1 lane and 20 mm of edge trims on 640 mm: 600 / 640 = 93.8 %,
    // 20 mm left.
    // Pouch: 27 300 x 0.14 = 3822 m good; / 0.96 = 3981.25; + 2 x 40 + 2 x 2 = 4065.25: 4066 m.
    // Slit: 4066 / 0.99 = 4107.07; + 10 = 4117.07: 4118 m. Lam: 4118 / 0.98 = 4202.04; + 20 = 4222.04: 4223 m; 1
    // roll.
    // Reels: 4118 of 1190 m are 4 sets, 4 reels, 1 at a time: 4 loads, 2 at a start, 2 changes.
    // Web: 4223 x 0.64 = 2702.72 m2; 270.272 kg; 1351.36 EUR.
    // Planned: 4066 / 0.14 = 29 042.86 cycles, / 50 = 580.86 min.
    // 2nd: 260 = 260 across, 160 along; 3 on 800 mm with 20 mm of trims: 97.5 %. Beside the body 4066 x 160 / 140 =
    // 4646.86 m of reel; / 3 = 1548.95.
    // Slit: 1548.95 / 0.99 = 1564.6; + 10 = 1574.6: 1575 m. Lam: 1575 / 0.98 = 1607.14; + 20 = 1627.14: 1628 m; 1
    // roll.
    // Web: 1628 x 0.8 = 1302.4 m2; x 0.08 = 104.192 kg; x 0.30 = 390.72 EUR. Together 4005.12 m2; 374.464 kg;
    // 1742.08 EUR.
    // Run: lam 4223 + 1628 m, 585.1 min; (4223 - 20) x 0.98 = 4118.94 and (1628 - 20) x 0.98 = 1575.84 m come to
    // slit, 569.478 min; (4118.94 - 10) x 0.99 = 4067.851 m come to pouch:
    // 4067.851 / 0.14 / 50 + 2 x 5 = 591.122 min. Good: (2033.925 - 40 - 2) / 0.14 x 0.96 = 13 658.9: 13 659 of
    // each artwork.
    Case {
        name: "flat_bottom, two artworks",
        format: Format::FlatBottom,
        product: "format: flat_bottom, width: 140 mm, height: 260 mm, gusset: 80 mm, laminate: film, web: 640 mm, lanes: 1, second_web: { laminate: clear, web: 800 mm }",
        lanes: 1,
        unwinds: 2,
        quantity: 13000,
        artworks: 2,
        page: &[
            "developed 2 x height + depth = 2 x 260 + 80 = 600 mm a lane",
            "pitch 140 mm of web a pouch",
            "body web 1 x 600 mm on 640 mm: 93.8 % of the web, 20 mm for trims, 20 mm not used",
            "wanted 26 000 x (1 + 5 %) = 27 300",
            "pouch 27 300 x 140 mm / 1 lane / (1 - 4 %) + 2 starts x 40 + 2 changes x 2 = 4066 m",
            "slit 4066 / (1 - 1 %) + 10 = 4118 m",
            "lam 4118 / (1 - 2 %) + 20 = 4223 m",
            "rolls 4223 m / at most 4960 m a roll = 1 roll",
            "web 4223 m x 640 mm = 2702.7 m2 x 100 g/m2 = 270.3 kg; at 0.5 a m2 1351.36 EUR",
            "run 4223 m / 10 m/min + 10 / (60 x 1000) = 422.3 min",
            "run 4066 m / 140 mm = 29 043 cycles / 50 a min = 580.9 min",
            "reels 4, 1 at a time: 2 further x 5 min and 2 m",
            "second web 3 x 260 mm on 800 mm: 97.5 % of the web, 20 mm for trims, 0 mm not used",
            "slit 1548.95 / (1 - 1 %) + 10 = 1575 m",
            "lam 1575 / (1 - 2 %) + 20 = 1628 m",
            "rolls 1628 m / at most 6200 m a roll = 1 roll",
            "web 1628 m x 800 mm = 1302.4 m2 x 80 g/m2 = 104.2 kg; at 0.3 a m2 390.72 EUR",
            "run 1628 m / 10 m/min + 10 / (60 x 1000) = 162.8 min",
        ],
        minutes: &[("lam", 585.1), ("slit", 569.478), ("pouch", 591.122)],
        metres: 5851.0,
        m2: 4005.12,
        kg: 374.464,
        eur: 1742.08,
        good: 27318,
    },
];
