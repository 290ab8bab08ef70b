//! The surfaces as a site asks for them: by `surface` in site.toml, on the grid, against surfaces
//! whose heads are known in closed form.

use headfall::diag::Code;
use headfall::interpolate::kriging::Caution;
use headfall::read::{Method, Overrides};
use headfall::run::Map;
use headfall::uncertainty::PlaneFit;

use crate::support::{EAST, Folder, NORTH, gives, map, near, of, of_wells, scatter, told};

/// A site whose heads follow `head(x, y)`, with contours every 0.5 m.
fn site(wells: &[(f64, f64)], more: &str, head: impl Fn(f64, f64) -> f64) -> Folder {
    of_wells(wells, &format!("[contours]\ninterval = 0.5\n{more}"), head)
}

fn drawn(folder: &Folder) -> Map {
    let (map, findings) = map(folder.path(), &Overrides::default());
    map.unwrap_or_else(|e| panic!("{e} {findings:#?}"))
}

/// Every node with a head against the closed form; gives how many there were.
fn compare(map: &Map, head: impl Fn(f64, f64) -> f64, tolerance: f64) -> usize {
    let grid = &map.surface.heads;
    let mut seen = 0;
    for row in 0..grid.spec().rows {
        for column in 0..grid.spec().columns {
            let Some(found) = grid.head(row, column) else { continue };
            let p = grid.spec().node(row, column);
            near(found, head(p.x - EAST, p.y - NORTH), tolerance);
            seen += 1;
        }
    }
    seen
}

#[test]
fn a_plane_comes_back_by_every_method_that_claims_it() {
    // Exact by construction: Sibson (1981) for natural neighbours, Duchon (1977) for the spline,
    // unbiasedness for universal kriging.
    let plane = |x: f64, y: f64| 100.0 - 0.01 * x + 0.004 * y;
    for (method, more) in [
        ("linear", ""),
        ("natural-neighbour", ""),
        ("smooth-natural-neighbour", ""),
        ("thin-plate", "[thin_plate]\nsmoothing = 5.0\n"),
        (
            "kriging",
            "[kriging]\ndrift = \"linear\"\nmodel = \"spherical\"\npartial_sill = 0.5\nrange = \
             300.0\n",
        ),
    ] {
        let more = format!("[grid]\nsurface = \"{method}\"\ncell = 20.0\n{more}");
        let map = drawn(&site(&scatter(), &more, plane));
        assert_eq!(map.surface.method.name(), method);
        let seen = compare(&map, plane, 1e-7);
        assert!(seen > 300, "{method}: {seen}");
        assert_eq!(map.surface.sd.is_some(), map.surface.method == Method::Kriging);
    }
}

#[test]
fn no_method_gives_heads_beyond_the_wells() {
    let bowl = |x: f64, y: f64| 100.0 + 1e-5 * (x * x + y * y);
    let more = |method: &str| format!("[grid]\nsurface = \"{method}\"\ncell = 20.0\n");
    let supported = |method: &str| {
        let map = drawn(&site(&scatter(), &more(method), bowl));
        let grid = &map.surface.heads;
        let all = (0..grid.spec().rows).flat_map(|r| (0..grid.spec().columns).map(move |c| (r, c)));
        all.filter(|(r, c)| grid.head(*r, *c).is_some()).collect::<Vec<_>>()
    };
    let linear = supported("linear");
    for method in Method::ALL {
        assert_eq!(supported(method.name()), linear, "{}", method.name());
    }
}

#[test]
fn heads_over_a_flat_base_are_those_of_dupuit() {
    // Steady flow between two fully penetrating ditches without recharge (Fetter 2001, Applied
    // Hydrogeology, 4th ed., eq. 4.62; Dupuit): h² is linear. Heads 8 m at x = 0 and 4 m at 400 m
    // above a base at 20 m.
    let head = |x: f64, _: f64| 20.0 + (64.0 - 48.0 * x / 400.0).sqrt();
    let wells = [(0.0, 0.0), (0.0, 300.0), (400.0, 0.0), (400.0, 300.0)];
    let confined = drawn(&site(&wells, "[grid]\ncell = 10.0\n", head));
    let off = confined.surface.heads.head(15, 20).expect("a head") - head(200.0, 150.0);
    assert!(off < -0.3, "the plane through heads lies {off} m off the true water table");
    for method in ["linear", "natural-neighbour", "thin-plate"] {
        let more = format!("[grid]\ncell = 10.0\nunconfined_base = 20.0\nsurface = \"{method}\"\n");
        let map = drawn(&site(&wells, &more, head));
        assert!(compare(&map, head, 1e-9) > 1000);
        assert!(map.surface.words.contains("square of the saturated thickness above 20 m"));
    }
}

#[test]
fn a_pumped_site_is_drawn_with_its_cone() {
    // Thiem with a regional slope (uniform flow plus a well; Todd and Mays 2005, ch. 4):
    // h = h0 - i x + Q/(2 pi T) ln(r), T = 200 m²/d, Q = 500 m³/d, i = 0.002. The drift of Tonkin
    // and Larson (2002) holds it exactly, from wells none of which is the pumped one.
    let factor = 500.0 / (2.0 * std::f64::consts::PI * 200.0);
    let head = |x: f64, y: f64| {
        let r = (x - 190.0).hypot(y - 230.0).max(0.15);
        50.0 - 0.002 * x + factor * r.ln()
    };
    let kriging = "[kriging]\ndrift = \"linear\"\npartial_sill = 0.01\nrange = 500.0\n";
    let cone = format!(
        "[[pumped_wells]]\nwell = \"PW-1\"\neasting = {}\nnorthing = {}\nrate = 500.0\nradius = \
         0.15\n",
        EAST + 190.0,
        NORTH + 230.0
    );
    let more = format!("[grid]\ncell = 10.0\nsurface = \"kriging\"\n{kriging}{cone}");
    let map = drawn(&site(&scatter(), &more, head));
    assert!(compare(&map, head, 1e-6) > 1000);
    let report = map.surface.kriging.as_ref().expect("a report");
    // The term's factor is 1 / (2 pi T).
    near(report.trend[3].factor, factor / 500.0, 1e-9);
    // The stagnation point lies downgradient at Q / (2 pi T i) (Grubb 1993): 198.9 m, so that the
    // water table rises there and falls beyond. Along y = 230 from x = 190 + 198.9.
    let x0 = factor / 0.002;
    near(x0, 198.943_678_864_869_2, 1e-9);
    let at = |x: f64| {
        let p = geo::Coord { x: EAST + 190.0 + x, y: NORTH + 230.0 };
        map.surface.heads.nearest(p).expect("a head")
    };
    assert!(at(150.0) < at(200.0) && at(100.0) < at(150.0));
    let without = format!("[grid]\ncell = 10.0\nsurface = \"kriging\"\n{kriging}");
    let plain = drawn(&site(&scatter(), &without, head));
    let p = geo::Coord { x: EAST + 190.0, y: NORTH + 230.0 };
    let (flat, cone) = (plain.surface.heads.nearest(p), map.surface.heads.nearest(p));
    assert!(flat.expect("a head") > cone.expect("a head") + 1.0, "the cone is missed without it");
}

#[test]
fn a_kriged_surface_smooths_by_the_declared_errors() {
    // With exact heads kriging interpolates; with errors the surface passes the wells by. Between,
    // the standard deviation at a well is below the error of its reading (Cressie 1993, 3.2.1).
    let head = |x: f64, y: f64| 100.0 + (x / 60.0).sin() * (y / 70.0).cos();
    let kriging = "[kriging]\nmodel = \"gaussian\"\npartial_sill = 1.0\nrange = 250.0\n";
    let more = format!(
        "[grid]\ncell = 5.0\nsurface = \"kriging\"\n{kriging}[uncertainty]\nreading_sd = \
         0.3\n"
    );
    let map = drawn(&site(&scatter(), &more, head));
    let sd = map.surface.sd.as_ref().expect("a second grid");
    let middle = map.control.points().iter().find(|p| p.id == "W-12").expect("a well");
    let there = sd.nearest(middle.crs).expect("an sd");
    assert!(there > 0.05 && there < 0.3, "{there}");
    let off = (map.surface.heads.nearest(middle.crs).expect("a head") - middle.head).abs();
    assert!(off > 1e-3, "the surface goes through a head that is not exact: {off}");
}

#[test]
fn a_kriged_contour_is_inferred_where_its_sd_exceeds_the_stated_part_of_the_interval() {
    let head = |x: f64, y: f64| 100.0 + (x / 60.0).sin() * (y / 70.0).cos();
    let with = |part: &str| {
        let more = format!(
            "[grid]\ncell = 5.0\nsurface = \"kriging\"\n[kriging]\npartial_sill = \
             1.0\nrange = 150.0\n[uncertainty]\ninferred_spacings = 1000.0\n{part}"
        );
        drawn(&site(&scatter(), &more, head))
    };
    let inferred = |map: &Map| -> usize {
        let stretches = map.uncertainty.contours.iter().flat_map(|c| &c.stretches);
        stretches.filter(|s| s.inferred).map(|s| s.count).sum()
    };
    // What is inferred for another reason than the standard deviation, and with each part.
    let other = inferred(&with("inferred_interval_part = 1e9\n"));
    let mut fewer = usize::MAX;
    for (part, line, words) in [
        (1.0, "", "the whole distance"),
        (1.8, "inferred_interval_part = 1.8\n", "1.8 of the distance"),
        (2.4, "inferred_interval_part = 2.4\n", "2.4 of the distance"),
    ] {
        let map = with(line);
        let rule = &map.uncertainty.inferred_rule;
        let says =
            format!("its position may be off by more than {words} to the next contour (95 %)");
        assert!(rule.contains(&says), "{rule}");
        let count = inferred(&map);
        assert!(count < fewer && count > other, "{part}: {count} vertices, {fewer} before");
        fewer = count;
        let sd = map.surface.sd.as_ref().expect("a second grid");
        for (support, line) in map.uncertainty.contours.iter().zip(&map.contours.lines) {
            let supported = support.stretches.iter().filter(|s| !s.inferred);
            for p in supported.flat_map(|s| s.points(&line.points)) {
                let sd = sd.about(p).expect("a node");
                assert!(1.96 * sd <= part * 0.5, "a supported vertex has a sd of {sd}");
            }
        }
    }
}

#[test]
fn methods_that_cannot_be_used_are_refused_by_m407() {
    let plane = |x: f64, _: f64| 30.0 + 0.01 * x;
    let few = [(0.0, 0.0), (90.0, 10.0), (20.0, 80.0), (110.0, 95.0)];
    for (more, says) in [
        ("[grid]\nsurface = \"kriging\"\n", "11"),
        ("[grid]\nunconfined_base = 30.5\n", "30.5 m"),
        (
            "[grid]\nsurface = \"kriging\"\n[kriging]\npartial_sill = 1.0\nrange = \
             90.0\n[[pumped_wells]]\nwell = \"PW-9\"\n",
            "PW-9",
        ),
    ] {
        let folder = site(&few, more, plane);
        let (map, findings) = map(folder.path(), &Overrides::default());
        assert!(map.is_err(), "{more}");
        let refused = of(Code::SurfaceRefused, &findings);
        assert_eq!(refused.len(), 1, "{findings:#?}");
        gives(refused[0], &[says]);
        assert!(refused[0].advice.is_some());
    }
}

#[test]
fn a_fit_to_few_wells_is_told_by_m408() {
    let head = |x: f64, y: f64| 100.0 - 0.01 * x + (x / 60.0).sin() * (y / 70.0).cos();
    let folder = site(&scatter(), "[grid]\nsurface = \"kriging\"\n", head);
    let (map, findings) = map(folder.path(), &Overrides::default());
    let map = map.expect("a map");
    let told = of(Code::CovarianceCaution, &findings);
    let fit = map.surface.kriging.as_ref().expect("a report").fit.as_ref().expect("a fit");
    assert_eq!(fit.cautions[0], Caution::FewWells { wells: 25 });
    assert_eq!(told.len(), fit.cautions.len(), "one finding for each: {findings:#?}");
    let unknown = |c: &Caution| matches!(c, Caution::RangeNotFound { .. } | Caution::Flat);
    let known = !fit.cautions.iter().any(unknown);
    assert_eq!(fit.standard_errors.range_m.is_some(), known, "{fit:?}");
}

#[test]
fn a_surface_that_dips_below_the_base_loses_its_nodes_and_tells_m409() {
    // A spline through a deep narrow trough overshoots: heads 0.02 m above the base along two
    // neighbouring rows and 8 m above it all around.
    let head = |_: f64, y: f64| if (150.0..330.0).contains(&y) { 20.02 } else { 28.0 };
    let more = "[grid]\nsurface = \"thin-plate\"\nunconfined_base = 20.0\ncell = 10.0\n";
    let folder = site(&scatter(), more, head);
    let (map, findings) = map(folder.path(), &Overrides::default());
    let told = of(Code::BelowBase, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    let grid = &map.expect("a map").surface.heads;
    assert!(grid.range().expect("heads").0 >= 20.0);
}

#[test]
fn rasters_of_uncertainty_hold_the_closed_forms_of_one_triangle() {
    // Three wells at a right angle, 100 m apart, heads without depths: the default parts leave the
    // reading (0.01 ft) and the survey (0.010 m).
    let s = (0.003_048_f64.powi(2) + 1e-4).sqrt();
    let more = "[grid]\ncell = 10.0\n[uncertainty]\nrasters = true\nrealizations = 4000\n";
    let wells = [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)];
    let map = drawn(&site(&wells, more, |x, _| 30.0 + 0.05 * x));
    let rasters = map.uncertainty.rasters.as_ref().expect("asked for");
    let sd = rasters.head_sd.as_ref().expect("linear");
    let at = |x: f64, y: f64| geo::Coord { x: EAST + x, y: NORTH + y };
    // A corner has its own error, the middle of a side 1/sqrt(2) of it, (20, 30) the weights
    // 0.5, 0.2 and 0.3.
    near(sd.nearest(at(0.0, 0.0)).expect("a node"), s, 1e-9);
    near(sd.nearest(at(50.0, 0.0)).expect("a node"), s / 2f64.sqrt(), 1e-9);
    near(sd.nearest(at(20.0, 30.0)).expect("a node"), s * 0.38_f64.sqrt(), 1e-9);
    // Across the flow the slope has sd s sqrt(2) / 100, over the gradient: in radians, small. 4000
    // rounds know a standard deviation to 1.1 %.
    let expected = (s * 2f64.sqrt() / 100.0 / 0.05).to_degrees();
    let spread = rasters.direction_spread.nearest(at(20.0, 30.0)).expect("a node");
    near(spread / expected, 1.0, 0.04);
    assert!(rasters.direction_spread.nearest(at(90.0, 90.0)).is_none());
}

#[test]
fn a_mound_is_told_where_its_plane_would_be_believed_and_a_slope_is_not() {
    // Slope 0.01 to the east. A mound of 2 m in the middle of 4 m of relief is no plane; a bend of
    // 5 cm lies beyond errors of some mm, but leaves the slope what it is.
    let slope = |x: f64, _: f64| 100.0 - 0.01 * x;
    let mound = |x: f64, y: f64| {
        let (x, y) = (x - 200.0, y - 200.0);
        (x * x + y * y) / -40_000.0 * 2.0
    };
    let found = |part: f64| {
        let folder = site(&scatter(), "", |x, y| slope(x, y) + part * mound(x, y));
        let (map, findings) = map(folder.path(), &Overrides::default());
        let fit = map.expect("a map").uncertainty.plane.expect("errors").fit;
        (fit, of(Code::PlaneUnfit, &findings).into_iter().cloned().collect::<Vec<_>>())
    };
    assert_eq!(found(0.0), (PlaneFit::WithinErrors, vec![]));
    assert_eq!(found(0.1), (PlaneFit::BeyondErrors, vec![]));
    let (fit, told) = found(1.0);
    assert_eq!((fit, told.len()), (PlaneFit::Poor, 1));
    assert_eq!(told[0].wells.len(), 3, "{told:?}");
    gives(&told[0], &["0.9"]);
}

#[test]
fn a_search_radius_that_reaches_no_node_is_refused_and_one_that_reaches_few_is_told() {
    let drawn = |radius: &str| {
        let more = format!(
            "[grid]\ncell = 7\nsurface = \"inverse-distance\"\n[inverse_distance]\nradius = \
             {radius}\n"
        );
        let folder = site(&scatter(), &more, |x, _| 100.0 - 0.01 * x);
        map(folder.path(), &Overrides::default())
    };
    let (result, findings) = drawn("0.001");
    assert!(result.is_err());
    let told = of(Code::SurfaceRefused, &findings);
    assert_eq!(told.len(), 1, "{findings:?}");
    gives(told[0], &["0.001"]);
    assert!(told[0].advice.as_ref().is_some_and(|a| a.contains("radius")), "{told:?}");
    // Circles of 25 m around 25 wells cover at most 0.3 of the 400 m square.
    let (result, findings) = drawn("25");
    let part = result.expect("a map").surface.heads.supported();
    assert!(part > 0);
    let told = of(Code::RadiusShort, &findings);
    assert_eq!(told.len(), 1, "{findings:?}");
    assert!(told[0].message.contains(&format!("only {part} (")), "{told:?}");
    let (result, findings) = drawn("200");
    assert!(result.is_ok() && of(Code::RadiusShort, &findings).is_empty(), "{findings:?}");
}

/// Twice the median standard deviation of the heads is the least interval (common practice).
#[test]
fn no_contours_are_drawn_of_the_errors_of_the_heads() {
    let flat = |x: f64, _: f64| if x < 200.0 { 9.99 } else { 10.009 };
    let drawn = |more: &str| {
        let (map, findings) = map(of_wells(&scatter(), more, flat).path(), &Overrides::default());
        (map.unwrap_or_else(|e| panic!("{e} {findings:#?}")), findings)
    };
    let (map, findings) = drawn("");
    let sd = map.uncertainty.heads[0].sd_m;
    assert!(map.uncertainty.heads.iter().all(|h| h.sd_m.to_bits() == sd.to_bits()));
    // 0.01 ft and 10 mm.
    near(sd, 0.003_048_f64.hypot(0.010), 1e-9);
    // The first of 1, 2, 5 that is not below 0.0209 m; ten levels would stand 0.002 m apart.
    near(map.contours.interval.expect("an interval"), 0.05, 1e-12);
    near(map.contours.levels[0], 10.0, 1e-12);
    assert!(of(Code::FineInterval, &findings).is_empty());
    // Where no level is left the note says why.
    let (map, findings) = drawn("[contours]\nbase = 0.03\n");
    near(map.contours.interval.expect("an interval"), 0.05, 1e-12);
    assert!(map.contours.lines.is_empty());
    let told = of(Code::NoContours, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    let advice = told[0].advice.as_deref().expect("advice");
    assert!(advice.contains("2 times their median standard deviation"), "{advice}");
    // A finer one that is declared is drawn, and told.
    let (map, findings) = drawn("[contours]\ninterval = 0.002\n");
    assert!(map.contours.levels.len() > 8 && !map.contours.lines.is_empty());
    let told = of(Code::FineInterval, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["0.002 m"]);
}

/// A step between two rows of wells: no plane triangle leaves it, and the spline swings beyond both
/// levels (Duchon's surface of a step; overshoot is common knowledge of splines).
#[test]
fn a_surface_beyond_all_heads_is_told_and_its_contours_there_are_inferred() {
    let step = |x: f64, _: f64| if x < 200.0 { 11.0 } else { 10.0 };
    let wells: Vec<(f64, f64)> =
        (0..30).map(|k| (80.0 * f64::from(k % 6), 100.0 * f64::from(k / 6))).collect();
    let drawn = |method: &str| {
        let more = format!(
            "[grid]\ncell = 5\nsurface = \"{method}\"\n[contours]\ninterval = 0.04\n\
                 [uncertainty]\ninferred_interval_part = 1e9\n"
        );
        let (map, findings) = map(of_wells(&wells, &more, step).path(), &Overrides::default());
        (map.unwrap_or_else(|e| panic!("{e} {findings:#?}")), findings)
    };
    for method in ["linear", "natural-neighbour", "inverse-distance"] {
        assert!(of(Code::BeyondHeads, &drawn(method).1).is_empty(), "{method}");
    }
    let (map, findings) = drawn("thin-plate");
    let (low, high) = map.surface.heads.range().expect("heads");
    assert!(low < 9.96 && high > 11.04, "{low} to {high}");
    let told = of(Code::BeyondHeads, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    for part in [
        format!("rises {:.2} m above the highest head", high - 11.0),
        format!("falls {:.2} m below the lowest head", 10.0 - low),
    ] {
        assert!(told[0].message.contains(&part), "{part} in {}", told[0].message);
    }
    let (mut beyond, mut within) = (0, 0);
    for (line, support) in map.contours.lines.iter().zip(&map.uncertainty.contours) {
        if line.level > 11.0 || line.level < 10.0 {
            beyond += 1;
            assert!(support.stretches.iter().all(|s| s.inferred), "{}", line.level);
        } else {
            within += usize::from(support.stretches.iter().any(|s| !s.inferred));
        }
    }
    assert!(beyond > 1 && within > 1, "{beyond} beyond, {within} supported");
}

#[test]
fn the_rule_for_inferred_contours_says_any_of_its_reasons_will_do() {
    let map = drawn(&site(&scatter(), "", |x, _| 50.0 - 0.01 * x));
    let (rule, spacing) = (&map.uncertainty.inferred_rule, map.uncertainty.mean_spacing_m);
    assert!(rule.contains("any of four conditions holds") && !rule.contains(", and"), "{rule}");
    let far = format!("than {spacing:.1} m, the mean spacing of wells");
    assert!(rule.contains(&far), "{rule}");
}

#[test]
fn level_heads_have_flat_triangles_and_m406_says_so() {
    let (_, findings) = map(of_wells(&scatter(), "", |_, _| 50.0).path(), &Overrides::default());
    told(&findings, Code::FlatTriangle);
}

#[test]
fn m422_tells_that_nearly_all_contours_are_inferred() {
    let site =
        site(&scatter(), "[uncertainty]\ninferred_spacings = 0.05\n", |x, _| 50.0 + 0.01 * x);
    let (_, findings) = map(site.path(), &Overrides::default());
    told(&findings, Code::MostlyInferred);
}
