//! Where another well would tell most about an answer.

/// Nodes at which it is looked at how much a head there would tell.
const MOST_SAMPLED: usize = 1500;

/// A well is not advised where its head would explain less than this share of an answer's variance.
const LEAST_TELLING: f64 = 0.02;

/// Nodes on the map, thinned.
pub(super) fn sampled(nodes: &[bool]) -> Vec<usize> {
    let on: Vec<usize> = (0..nodes.len()).filter(|n| nodes[*n]).collect();
    let stride = on.len().div_ceil(MOST_SAMPLED).max(1);
    on.into_iter().step_by(stride).collect()
}

/// Where the heads of realizations tell most of an answer: the place with the largest square of the correlation,
/// which is the share of the answer's variance that a head there explains.
pub(super) fn tells_most(answers: &[f64], heads: &[Vec<f64>]) -> Option<(usize, f64)> {
    let count = answers.len() as f64;
    let mean = answers.iter().sum::<f64>() / count;
    let variance = answers.iter().map(|a| (a - mean) * (a - mean)).sum::<f64>();
    let of = |k: usize| {
        let about = heads.iter().map(|h| h[k]).sum::<f64>() / count;
        let (mut both, mut own) = (0.0, 0.0);
        for (a, h) in answers.iter().zip(heads) {
            both += (a - mean) * (h[k] - about);
            own += (h[k] - about) * (h[k] - about);
        }
        let share = both * both / (own * variance);
        share.is_finite().then_some((k, share))
    };
    let best = (0..heads.first()?.len()).filter_map(of);
    let best = best.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))?;
    (best.1 >= LEAST_TELLING).then_some(best)
}
