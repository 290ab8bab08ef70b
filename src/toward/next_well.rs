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

/// The heads of all realizations at the nodes that are looked at.
pub(super) struct Heads {
    /// Realization by realization.
    all: Vec<Vec<f64>>,
    /// At each node their mean, and the sum of their squares about it.
    means: Vec<f64>,
    squares: Vec<f64>,
}

impl Heads {
    pub(super) fn new(all: Vec<Vec<f64>>) -> Self {
        let nodes = all.first().map_or(0, Vec::len);
        let (mut means, mut squares) = (vec![0.0; nodes], vec![0.0; nodes]);
        for heads in &all {
            for (sum, h) in means.iter_mut().zip(heads) {
                *sum += h;
            }
        }
        let count = all.len() as f64;
        for sum in &mut means {
            *sum /= count;
        }
        for heads in &all {
            for ((sum, h), mean) in squares.iter_mut().zip(heads).zip(&means) {
                *sum += (h - mean) * (h - mean);
            }
        }
        Self { all, means, squares }
    }

    /// Where they tell most of an answer: the place with the largest square of the correlation, which is the share of
    /// the answer's variance that a head there explains.
    pub(super) fn tell_most(&self, answers: &[f64]) -> Option<(usize, f64)> {
        let mean = answers.iter().sum::<f64>() / answers.len() as f64;
        let variance = answers.iter().map(|a| (a - mean) * (a - mean)).sum::<f64>();
        if variance <= 0.0 {
            return None;
        }
        let mut both = vec![0.0; self.means.len()];
        for (answer, heads) in answers.iter().zip(&self.all) {
            let off = answer - mean;
            for ((sum, h), about) in both.iter_mut().zip(heads).zip(&self.means) {
                *sum += off * (h - about);
            }
        }
        let of = |(k, (both, own)): (usize, (&f64, &f64))| {
            let share = both * both / (own * variance);
            share.is_finite().then_some((k, share))
        };
        let best = both.iter().zip(&self.squares).enumerate().filter_map(of);
        let best = best.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))?;
        (best.1 >= LEAST_TELLING).then_some(best)
    }
}
