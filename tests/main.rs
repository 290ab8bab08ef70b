//! The tests that look at headfall from outside. One binary, so that the bundled libraries are
//! linked once.

#![expect(
    clippy::disallowed_methods,
    reason = "tests make files, run the program and know formulas"
)]

/// Kriging against published values, reference libraries and analytic surfaces.
mod kriging;

/// Positions, convergence and scale against published projection examples.
mod projection;

/// Gradients and planes against published examples.
mod gradients;

/// Readings to heads against published reductions, and every finding of that stage.
mod reduction;

/// Files to what they say: every finding of the read stage.
mod reading;

/// What every row of every file says that it belongs to.
mod belonging;

/// Site plan, title block, kind of aquifer on the map sheet.
mod figure;

/// Names in other letters on the map sheet, and what its PDF says to readers.
mod letters;

/// A picture below the site plan.
mod site_picture;

/// GeoParquet.
mod geoparquet;

/// How programs are to draw the layers.
mod styles;

/// A register in a vector file.
mod gis_register;

/// Tables as people have them: several rounds, dates for headings, workbooks.
mod table_marks;
mod tables;

/// Pumped wells on a map: their cones, their levels, their settings.
mod pumped;

/// Several wrong wells at once, and what cannot be.
mod blunders;

/// Heads that do not fit: false alarms, mistakes found, and their causes, by simulation.
mod odd_heads;

/// Few files, little memory, very many faults.
mod means;

/// Which files are inputs: names that are almost right, links, pipes, code points.
mod inputs;

/// Every check, provoked through a site folder.
mod checks;

/// The program as a user runs it.
mod cli;
// Short options, examples of the help, likely names, what start makes, pages for shells.
mod manners;

/// Datum grids that a site declares.
mod datum_grids;

/// Sites in the local coordinates of a plan, as they are and tied to a CRS.
mod local;

/// Where results go, and what is there already.
mod results_folder;

/// Many rounds and sites in one call.
mod batch;

/// What changed between two rounds.
mod compare;

/// The field sheet for the next round.
mod form;

/// What lies about on a machine does not reach a map.
mod sealed;

/// The schemas that it prints.
mod schemas;

/// What it tells other programs, and streams that cannot be written.
mod told;

/// The linear grid and contours against general-purpose libraries.
mod surface;

/// Natural neighbours, splines and inverse distance against general-purpose libraries.
mod scattered;

/// Wells left out, against libraries that build every system anew.
mod cross_validate;

/// More wells than are worked on all at once.
mod many_wells;

/// Wells along a fence, a creek along a straight line.
mod one_line;

/// What forms, logs and spreadsheets hold that is no head.
mod forms;

/// Nothing of a table is passed over in silence.
mod passed_over;

/// Depths, elevations, stages and times that cannot be.
mod plausible;
mod posted;

/// Every surface as a site asks for it, against closed forms.
mod methods;

/// Heads of analytic solutions, mapped.
mod analytic;

/// Where the map ends: along the outline, at the boundary, beside lines.
mod edges;

/// Lines and areas beside the wells: read from every format, clipped to, parted by, flowing.
mod features;

/// Every file, opened again.
mod files;

/// What the tables print adds up as it is printed.
mod printed;

/// All layers in every format, opened again.
mod layers;

/// All layers in a drawing, opened again.
mod drawing;

/// First inputs of the fuzz targets.
mod fuzz_seeds;

/// Names that would break or inject, through every file.
mod hostile;

/// Errors of gradients and directions against published figures and realizations.
mod uncertainty;

/// The surface between the wells, against random surfaces whose slope is known.
mod between;

/// Inferred contours, against wells that are left out.
mod inferred;

/// Flow paths and what they meet, against analytic solutions and published figures.
mod toward;

/// Where the water of whole sites goes.
mod toward_site;

/// What is not known of it, and is said to be not known.
mod toward_known;

/// Units of the aquifer, and numbers that are in another unit.
mod aquifer_units;

/// The map of a unit that the command line names.
mod mapped_unit;

mod over_rounds;
mod site_record;

/// The same as page, workbook and layers, and its findings.
mod record_page;
mod toward_beside;
/// The same as people see it: sheet and page.
mod toward_drawn;
mod toward_ends;

/// Lines of very many vertices.
mod long_lines;

/// How far a run has come.
mod progress;

/// A real round with a published plane.
mod wolfcamp;

/// A real round with perched and multilevel wells.
mod inl;

/// Numbers that were absurd: not finite, divided by dust, hundreds of digits long.
mod numbers;

/// Sites drawn by lot, worked out again from what was written of them.
mod audit;

/// The map sheet: labels, text, dots.
mod sheet;

/// What signs mean, the same on sheet and page.
mod signs;

/// The page for people, in a browser.
mod page;

/// What the program is made of may be handed on.
mod licences;

/// The contributor's rules, kept by a machine.
mod layout;

/// Errors of positions.
mod position;

/// Decisions about wells and findings.
mod accepted;
mod left_out;

/// Vertical gradients of nested wells, as they are shown.
mod nests;

/// All tables in one workbook.
mod all_tables;
/// Heads and contours by judgement, and explicit levels.
mod judged;
mod kml;

/// Pages that are read with the program beside them.
mod walks;

/// Folders, files, comparisons.
mod support;
