//! Triangles against barriers.

use rayon::prelude::*;

use super::types::Mesh;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};

/// Takes out the triangles that a barrier crosses, touches or runs within (M410), and tells when
/// no triangle or side joins all wells any more (C321).
pub(super) fn at_barriers(control: &ControlSet, mesh: &mut Mesh) -> Vec<Diagnostic> {
    let barriers = control.beside().barriers();
    if barriers.is_empty() {
        return Vec::new();
    }
    let all = mesh.triangles.len();
    let groups = groups(control, mesh);
    let crossed: Vec<bool> =
        mesh.triangles.par_iter().map(|t| barriers.run_into(mesh.corners(t))).collect();
    let mut crossed = crossed.into_iter();
    mesh.triangles.retain(|_| crossed.next() == Some(false));
    let mut findings = Vec::new();
    let cut = all - mesh.triangles.len();
    if cut > 0 {
        findings.push(
            Diagnostic::new(
                Code::BarrierCut,
                format!(
                    "{cut} of {all} triangles are crossed by a barrier and were removed: the \
                     strip along it has no three-point gradient or direction"
                ),
            )
            .advice("wells close to the barrier on both sides would make the strip narrower"),
        );
    }
    if groups.len() > 1 {
        let words: Vec<String> = groups
            .iter()
            .map(|g| match &g[..] {
                [only] => only.clone(),
                [first, .., last] => format!("{first} to {last} ({} wells)", g.len()),
                [] => String::new(),
            })
            .collect();
        let mut told = Diagnostic::new(
            Code::Parted,
            format!(
                "barriers divide the wells into {} groups: {}; the planar fit mixes heads of all \
                 of them",
                groups.len(),
                words.join("; ")
            ),
        )
        .advice(
            "do not report the direction of the planar fit: use the triangles of each side, or \
             map each side separately",
        );
        told.wells = groups.into_iter().flatten().collect();
        findings.push(told);
    }
    findings
}

/// The first of the group that `i` is in.
fn find(root: &mut [usize], mut i: usize) -> usize {
    while root[i] != i {
        root[i] = root[root[i]];
        i = root[i];
    }
    i
}

/// The wells by name, in groups that sides of triangles join without crossing a barrier. Points of
/// streams join groups and are not named.
fn groups(control: &ControlSet, mesh: &Mesh) -> Vec<Vec<String>> {
    let barriers = control.beside().barriers();
    let mut root: Vec<usize> = (0..mesh.local.len()).collect();
    for t in &mesh.triangles {
        let [a, b, c] = t.corners;
        for (i, j) in [(a, b), (b, c), (c, a)] {
            if !barriers.part(mesh.local[i], mesh.local[j]) {
                let (i, j) = (find(&mut root, i), find(&mut root, j));
                root[i.max(j)] = i.min(j);
            }
        }
    }
    let mut groups: std::collections::BTreeMap<usize, Vec<String>> =
        std::collections::BTreeMap::new();
    for i in control.wells() {
        groups.entry(find(&mut root, i)).or_default().push(control.points()[i].id.clone());
    }
    groups
        .into_values()
        .map(|mut names| {
            names.sort();
            names
        })
        .collect()
}
