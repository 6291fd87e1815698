//! The measures of beat tracking that the field uses, as mir_eval 0.8.2 has them (C. Raffel et al., ISMIR 2014): F within
//! 70 ms, and the part of beats that go on in step (M. Davies et al. 2009), at the right level and at any.

/// A beat counts as found within so many seconds.
const WINDOW: f64 = 0.07;

/// What lies before counts for nothing: everybody may find in.
const FROM: f64 = 5.0;

/// How far in phase and in period a beat may be off to count as in step.
const IN_STEP: f64 = 0.175;

/// F of beats, 0 to 1.
pub(crate) fn f_measure(truth: &[f64], found: &[f64]) -> f64 {
    let (truth, found) = (late(truth), late(found));
    if truth.is_empty() || found.is_empty() {
        return 0.0;
    }
    2.0 * hits(&truth, &found, WINDOW) as f64 / (truth.len() + found.len()) as f64
}

/// How many of the true moments are found within so many seconds, each by another; both in order.
pub(crate) fn hits(truth: &[f64], found: &[f64], window: f64) -> usize {
    let (mut hits, mut next) = (0, 0);
    for at in found {
        while truth.get(next).is_some_and(|true_one| *true_one < at - window) {
            next += 1;
        }
        if truth.get(next).is_some_and(|true_one| *true_one <= at + window) {
            hits += 1;
            next += 1;
        }
    }
    hits
}

/// Part of the beats that are in step at the right level, and at the best of the usual other ones.
pub(crate) fn in_step(truth: &[f64], found: &[f64]) -> (f64, f64) {
    let (truth, found) = (late(truth), late(found));
    if truth.len() < 2 || found.len() < 2 {
        return (0.0, 0.0);
    }
    let doubled: Vec<f64> = truth
        .windows(2)
        .flat_map(|pair| [pair[0], (pair[0] + pair[1]) / 2.0])
        .chain(truth.last().copied())
        .collect();
    let every = |from: usize, step: usize, of: &[f64]| {
        of.iter().skip(from).step_by(step).copied().collect::<Vec<f64>>()
    };
    let levels = [truth.clone(), every(1, 2, &doubled), doubled, every(0, 2, &truth), every(1, 2, &truth)];
    let parts: Vec<f64> = levels.iter().map(|level| total(level, &found)).collect();
    (parts[0], parts.iter().copied().fold(0.0, f64::max))
}

fn total(truth: &[f64], found: &[f64]) -> f64 {
    let mut used = vec![false; truth.len().max(found.len())];
    let mut hits = 0;
    for (index, beat) in found.iter().enumerate() {
        let away = |at: &usize| (truth[*at] - beat).abs();
        let Some(nearest) = (0..truth.len()).min_by(|a, b| away(a).total_cmp(&away(b))) else { return 0.0 };
        // The first of either looks forward.
        let first = index == 0 || nearest == 0;
        let gap = |of: &[f64], at: usize| match () {
            () if first && at + 1 < of.len() => of[at + 1] - of[at],
            () => of[at] - of[at - 1],
        };
        let (true_gap, found_gap) = (gap(truth, nearest), gap(found, index));
        let phase = away(&nearest) / true_gap;
        if !used[nearest] && phase < IN_STEP && (1.0 - found_gap / true_gap).abs() < IN_STEP {
            used[nearest] = true;
            hits += 1;
        }
    }
    f64::from(hits) / found.len().max(truth.len()) as f64
}

fn late(beats: &[f64]) -> Vec<f64> {
    beats.iter().copied().filter(|at| *at >= FROM).collect()
}

/// Beats of a made-up piece.
const TRUTH: &[f64] = &[
    0.5082, 0.9898, 1.5017, 1.9977, 2.4982, 2.9991, 3.4919, 3.9991, 4.4965, 5.0133, 5.5009, 5.9986, 6.4989,
    6.9973, 7.4958, 7.9984, 8.5019, 8.999, 9.5038, 9.9992, 10.5001, 11.0062, 11.5022, 11.998, 12.4993,
    13.0022, 13.5077, 13.9989, 14.499, 15.004, 15.4965, 15.9988, 16.5035, 17.0023, 17.5004, 18.0027, 18.4887,
    19.0041, 19.4962, 19.9933, 20.5011, 21.0028, 21.4982, 21.9957, 22.5001, 22.9998, 23.5056, 24.003,
    24.5008, 25.0044, 25.4992, 25.9963, 26.5023, 27.0023, 27.4991, 27.9969, 28.5009, 28.99, 29.5028, 30.002,
];

/// What is found of it, and what mir_eval 0.8.2 says of that: F, CMLt, AMLt.
const FOUND: &[(&str, &[f64], [f64; 3])] = &[
    (
        "near",
        &[
            0.4754, 0.991, 1.4824, 2.0129, 2.4575, 2.9808, 3.5061, 4.0222, 4.4534, 5.0033, 5.5075, 5.9864,
            6.5307, 6.9735, 7.5029, 7.9775, 8.53, 8.9986, 9.4964, 9.9648, 10.5337, 11.0212, 11.5173, 12.0207,
            12.5063, 12.9894, 13.4917, 13.9829, 14.5264, 14.9748, 15.4845, 15.9924, 16.508, 17.0138, 17.4754,
            17.9681, 18.4886, 19.0284, 19.5113, 19.9976, 20.4948, 21.0087, 21.4934, 22.012, 22.4842, 23.0025,
            23.5034, 24.0139, 24.5053, 25.0554, 25.5292, 26.0262, 26.4615, 26.9955, 27.487, 28.0075, 28.4553,
            29.0135, 29.5241, 29.9759,
        ],
        [1.0, 1.0, 1.0],
    ),
    (
        "half",
        &[
            0.5082, 1.5017, 2.4982, 3.4919, 4.4965, 5.5009, 6.4989, 7.4958, 8.5019, 9.5038, 10.5001, 11.5022,
            12.4993, 13.5077, 14.499, 15.4965, 16.5035, 17.5004, 18.4887, 19.4962, 20.5011, 21.4982, 22.5001,
            23.5056, 24.5008, 25.4992, 26.5023, 27.4991, 28.5009, 29.5028,
        ],
        [0.657895, 0.0, 1.0],
    ),
    (
        "off",
        &[
            0.7582, 1.2398, 1.7517, 2.2477, 2.7482, 3.2491, 3.7419, 4.2491, 4.7465, 5.2633, 5.7509, 6.2486,
            6.7489, 7.2473, 7.7458, 8.2484, 8.7519, 9.249, 9.7538, 10.2492, 10.7501, 11.2562, 11.7522,
            12.248, 12.7493, 13.2522, 13.7577, 14.2489, 14.749, 15.254, 15.7465, 16.2488, 16.7535, 17.2523,
            17.7504, 18.2527, 18.7387, 19.2541, 19.7462, 20.2433, 20.7511, 21.2528, 21.7482, 22.2457,
            22.7501, 23.2498, 23.7556, 24.253, 24.7508, 25.2544, 25.7492, 26.2463, 26.7523, 27.2523, 27.7491,
            28.2469, 28.7509, 29.24, 29.7528, 30.252,
        ],
        [0.0, 0.0, 0.980392],
    ),
    (
        "double",
        &[
            0.5082, 0.7582, 0.9898, 1.2398, 1.5017, 1.7517, 1.9977, 2.2477, 2.4982, 2.7482, 2.9991, 3.2491,
            3.4919, 3.7419, 3.9991, 4.2491, 4.4965, 4.7465, 5.0133, 5.2633, 5.5009, 5.7509, 5.9986, 6.2486,
            6.4989, 6.7489, 6.9973, 7.2473, 7.4958, 7.7458, 7.9984, 8.2484, 8.5019, 8.7519, 8.999, 9.249,
            9.5038, 9.7538, 9.9992, 10.2492, 10.5001, 10.7501, 11.0062, 11.2562, 11.5022, 11.7522, 11.998,
            12.248, 12.4993, 12.7493, 13.0022, 13.2522, 13.5077, 13.7577, 13.9989, 14.2489, 14.499, 14.749,
            15.004, 15.254, 15.4965, 15.7465, 15.9988, 16.2488, 16.5035, 16.7535, 17.0023, 17.2523, 17.5004,
            17.7504, 18.0027, 18.2527, 18.4887, 18.7387, 19.0041, 19.2541, 19.4962, 19.7462, 19.9933,
            20.2433, 20.5011, 20.7511, 21.0028, 21.2528, 21.4982, 21.7482, 21.9957, 22.2457, 22.5001,
            22.7501, 22.9998, 23.2498, 23.5056, 23.7556, 24.003, 24.253, 24.5008, 24.7508, 25.0044, 25.2544,
            25.4992, 25.7492, 25.9963, 26.2463, 26.5023, 26.7523, 27.0023, 27.2523, 27.4991, 27.7491,
            27.9969, 28.2469, 28.5009, 28.7509, 28.99, 29.24, 29.5028, 29.7528, 30.002,
        ],
        [0.671053, 0.0, 1.0],
    ),
    (
        "part",
        &[
            0.5082, 0.9898, 1.5017, 1.9977, 2.4982, 2.9991, 3.4919, 3.9991, 4.4965, 5.0133, 5.5009, 5.9986,
            6.4989, 6.9973, 7.4958, 7.9984, 8.5019, 8.999, 9.5038, 9.9992, 10.6201, 11.1262, 11.6222, 12.118,
            12.6193, 13.1222, 13.6277, 14.1189, 14.619, 15.124, 15.6165, 16.1188, 16.6235, 17.1223, 17.6204,
            18.1227, 18.6087, 19.1241, 19.6162, 20.1133, 20.5111, 21.0128, 21.5082, 22.0057, 22.5101,
            23.0098, 23.5156, 24.013, 24.5108, 25.0144, 25.5092, 26.0063, 26.5123, 27.0123, 27.5091, 28.0069,
            28.5109, 29.0, 29.5128, 30.012,
        ],
        [0.607843, 0.588235, 0.588235],
    ),
    (
        "few",
        &[
            1.9977, 4.4965, 6.9973, 9.5038, 11.998, 14.499, 17.0023, 19.4962, 21.9957, 24.5008, 27.0023,
            29.5028,
        ],
        [0.327869, 0.0, 0.0],
    ),
];

#[test]
fn the_measures_are_those_of_mir_eval() {
    for (name, found, [f, level, any]) in FOUND {
        let (own_level, own_any) = in_step(TRUTH, found);
        for (what, own, theirs) in
            [("F", f_measure(TRUTH, found), f), ("CMLt", own_level, level), ("AMLt", own_any, any)]
        {
            assert!((own - theirs).abs() < 1e-5, "{name}: {what} {own} for {theirs}");
        }
    }
}
