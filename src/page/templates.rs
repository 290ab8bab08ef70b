//! The templates, filled in. Everything but the style sheet and the script is escaped.

use minijinja::syntax::SyntaxConfig;
use minijinja::value::Serde;
use minijinja::{Environment, UndefinedBehavior, Value, context};
use serde::Serialize;

use crate::page::policy;
use crate::page::site_record::RecordPage;
use crate::page::view::Page;

const STYLE: &str = include_str!("web/page.css");

/// Each file of the script, in the order they run.
const SCRIPT: &str = concat!(
    "\"use strict\";\n",
    include_str!("web/tables.js"),
    include_str!("web/labels.js"),
    include_str!("web/map.js"),
);

/// What only a page with flow paths needs.
const TOWARD_STYLE: &str = include_str!("web/toward.css");

/// What only the page of a record needs.
const RECORD_STYLE: &str = include_str!("web/record.css");

/// Its script: tables that sort.
const RECORD_SCRIPT: &str = concat!("\"use strict\";\n", include_str!("web/tables.js"));

const PAGE: &str = "page.html";

const RECORD_PAGE: &str = "site-record/page.html";

/// Every template by the name that others include it under.
const TEMPLATES: &[(&str, &str)] = &[
    (PAGE, include_str!("templates/page.html")),
    (RECORD_PAGE, include_str!("templates/site-record/page.html")),
    ("site-record/plot.html", include_str!("templates/site-record/plot.html")),
    ("site-record/rounds.html", include_str!("templates/site-record/rounds.html")),
    ("site-record/hydrographs.html", include_str!("templates/site-record/hydrographs.html")),
    ("site-record/levels.html", include_str!("templates/site-record/levels.html")),
    ("site-record/trends.html", include_str!("templates/site-record/trends.html")),
    ("site-record/surfaces.html", include_str!("templates/site-record/surfaces.html")),
    ("site-record/nests.html", include_str!("templates/site-record/nests.html")),
    ("site-record/doubtful.html", include_str!("templates/site-record/doubtful.html")),
    ("start.html", include_str!("templates/start.html")),
    ("macros.html", include_str!("templates/macros.html")),
    ("map.html", include_str!("templates/map.html")),
    ("rose.html", include_str!("templates/rose.html")),
    ("residuals.html", include_str!("templates/residuals.html")),
    ("heads.html", include_str!("templates/heads.html")),
    ("nests.html", include_str!("templates/nests.html")),
    ("findings.html", include_str!("templates/findings.html")),
    ("cautions.html", include_str!("templates/cautions.html")),
    ("triangles.html", include_str!("templates/triangles.html")),
    ("sure.html", include_str!("templates/sure.html")),
    ("toward.html", include_str!("templates/toward.html")),
    ("method.html", include_str!("templates/method.html")),
    ("record.html", include_str!("templates/record.html")),
    ("methods/linear.html", include_str!("templates/methods/linear.html")),
    ("methods/natural-neighbour.html", include_str!("templates/methods/natural-neighbour.html")),
    (
        "methods/smooth-natural-neighbour.html",
        include_str!("templates/methods/smooth-natural-neighbour.html"),
    ),
    ("methods/kriging.html", include_str!("templates/methods/kriging.html")),
    ("methods/thin-plate.html", include_str!("templates/methods/thin-plate.html")),
    ("methods/inverse-distance.html", include_str!("templates/methods/inverse-distance.html")),
];

/// The page of a map as HTML.
pub(super) fn report(page: &Page) -> String {
    let more = if page.toward.is_some() { TOWARD_STYLE } else { "" };
    render(PAGE, &[STYLE, more].concat(), SCRIPT, page)
}

/// The page of a site's record as HTML.
pub(super) fn record(page: &RecordPage) -> String {
    render(RECORD_PAGE, &[STYLE, RECORD_STYLE].concat(), RECORD_SCRIPT, page)
}

fn render(name: &str, style: &str, script: &str, page: &impl Serialize) -> String {
    let fill = || -> Result<String, minijinja::Error> {
        let mut templates = Environment::new();
        templates.set_undefined_behavior(UndefinedBehavior::Strict);
        templates
            .set_syntax(SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build()?);
        for (name, text) in TEMPLATES {
            templates.add_template(name, text)?;
        }
        templates.get_template(name)?.render(context! {
            policy => policy::policy(style, script),
            style => Value::from_safe_string(style.to_owned()),
            script => Value::from_safe_string(script.to_owned()),
            ..Value::from(Serde(page))
        })
    };
    fill().unwrap_or_else(|e| panic!("this is a bug in headfall: the page's templates: {e:#}"))
}
