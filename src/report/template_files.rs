//! Every template and plan of a job as files: names and texts, ready to be written.

use super::door_sheet::door_sheet;
use super::drawing::{Drawing, Paper};
use super::dxf::dxf_text;
use super::svg::svg_text;
use super::template::GrooveTemplate;
use super::test_corner::CornerTemplate;
use crate::doors::Door;
use crate::job::Job;
use crate::measure::Units;

/// One file of the templates' folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateFile {
    /// Its name: letters, figures, dashes and one dot.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// Files of all templates, in a fixed order: each different groove whole (`groove-1.svg`, `groove-1.dxf`) and over pages
/// (`groove-1-page-01.svg`, ...); each different bend as a test corner (`test-corner-1.svg`, `.dxf`, over pages where it
/// takes more than one); then for each door its plan (`door-01.svg`). Pages are letter size for a job in inches, A4 for
/// one in millimetres; DXF files are in the unit the shop asks for.
#[must_use]
pub fn template_files(job: &Job, doors: &[Door]) -> Vec<TemplateFile> {
    each_template(job, doors).collect()
}

/// The same, each made when it is asked for.
pub(super) fn each_template<'a>(job: &'a Job, doors: &'a [Door]) -> impl Iterator<Item = TemplateFile> + 'a {
    let paper = match job.units {
        Units::Inch => Paper::Letter,
        Units::Millimetre => Paper::A4,
    };
    let grooves = (1..).zip(GrooveTemplate::of_job(job, doors)).flat_map(move |(number, template): (usize, _)| {
        let name = format!("groove-{number}");
        let pages = pages(&name, &template.drawing, paper);
        whole(&name, &template.drawing, job).into_iter().chain(pages)
    });
    let corners = (1..).zip(CornerTemplate::of_job(job, doors)).flat_map(move |(number, corner): (usize, _)| {
        let name = format!("test-corner-{number}");
        let over_pages = !corner.drawing.fits(paper);
        let pages = if over_pages { pages(&name, &corner.drawing, paper) } else { Vec::new() };
        whole(&name, &corner.drawing, job).into_iter().chain(pages)
    });
    let plans = doors.iter().enumerate().filter_map(|(at, door)| {
        let sheet = door_sheet(spec_of(job, door)?, door, job)?;
        Some(svg(&format!("door-{:02}", at + 1), &sheet))
    });
    grooves.chain(corners).chain(plans)
}

fn whole(name: &str, drawing: &Drawing, job: &Job) -> [TemplateFile; 2] {
    let text = dxf_text(drawing, job.shop.dxf_units);
    [svg(name, drawing), TemplateFile { name: format!("{name}.dxf"), text }]
}

fn pages(name: &str, drawing: &Drawing, paper: Paper) -> Vec<TemplateFile> {
    let numbered = (1..).zip(drawing.pages(paper));
    numbered.map(|(number, page)| svg(&format!("{name}-page-{number:02}"), &page)).collect()
}

fn spec_of<'a>(job: &'a Job, door: &Door) -> Option<&'a crate::job::DoorSpec> {
    job.cabinets.get(door.cabinet)?.doors.get(door.index)
}

fn svg(name: &str, drawing: &Drawing) -> TemplateFile {
    TemplateFile { name: format!("{name}.svg"), text: svg_text(drawing) }
}
