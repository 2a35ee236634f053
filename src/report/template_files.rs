//! Every template and plan of a job as files: names and texts, ready to be written.

use super::door_sheet::door_sheet;
use super::drawing::{Drawing, Paper};
use super::dxf::dxf_text;
use super::svg::svg_text;
use super::template::{GrooveTemplate, corner_template};
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

/// Files of all templates, in a fixed order: for each different track the groove whole (`groove-1.svg`, `groove-1.dxf`),
/// over pages (`groove-1-page-01.svg`, ...) and its test corner; then for each door its plan (`door-01.svg`). Pages are
/// letter size for a job in inches, A4 for one in millimetres.
#[must_use]
pub fn template_files(job: &Job, doors: &[Door]) -> Vec<TemplateFile> {
    let paper = match job.units {
        Units::Inch => Paper::Letter,
        Units::Millimetre => Paper::A4,
    };
    let mut files = Vec::new();
    for (i, template) in GrooveTemplate::of_job(job, doors).iter().enumerate() {
        let name = format!("groove-{}", i + 1);
        files.push(svg(&name, &template.drawing));
        files.push(dxf(&name, &template.drawing));
        for (page, drawing) in template.drawing.pages(paper).iter().enumerate() {
            files.push(svg(&format!("{name}-page-{:02}", page + 1), drawing));
        }
        let first = doors.iter().find(|door| template.doors.first() == Some(&door.name));
        if let Some(corner) = first.and_then(|door| corner_template(spec_of(job, door)?, door, job)) {
            let name = format!("test-corner-{}", i + 1);
            files.push(svg(&name, &corner));
            files.push(dxf(&name, &corner));
        }
    }
    for (i, door) in doors.iter().enumerate() {
        if let Some(sheet) = spec_of(job, door).and_then(|spec| door_sheet(spec, door, job)) {
            files.push(svg(&format!("door-{:02}", i + 1), &sheet));
        }
    }
    files
}

fn spec_of<'a>(job: &'a Job, door: &Door) -> Option<&'a crate::job::DoorSpec> {
    job.cabinets.get(door.cabinet)?.doors.get(door.index)
}

fn svg(name: &str, drawing: &Drawing) -> TemplateFile {
    TemplateFile { name: format!("{name}.svg"), text: svg_text(drawing) }
}

fn dxf(name: &str, drawing: &Drawing) -> TemplateFile {
    TemplateFile { name: format!("{name}.dxf"), text: dxf_text(drawing) }
}
