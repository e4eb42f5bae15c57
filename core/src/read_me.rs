//! The description that goes with a plan's files: what each is, in plain words.

use crate::archive::Named;
use crate::folder::Folder;
use crate::report::PlanReport;
use crate::sheets::EXAMPLE;
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;
use crate::view::View;

/// Lines are wrapped to about so many letters; measured by the type's own widths, which plain text does not have.
const LINE: Millimetres = Millimetres(150.0);

/// Writes the text. `files` are those it goes with.
pub(crate) fn text(folder: &Folder<'_>, report: &PlanReport, files: &[Named]) -> String {
    let mut page = Page(String::new());
    let (size, face) = (report.plate_mm, report.face_mm);
    page.line(&format!("STEPBITE: {}", if folder.title.is_empty() { "a plan of stop-outs" } else { folder.title }));
    if let Some(date) = folder.date {
        page.line(date);
    }
    page.gap();
    let letter = if folder.letter.is_empty() { String::new() } else { format!(" {}", folder.letter) };
    page.paragraph(&format!(
        "Plate{letter}: {} × {} mm, its face {} × {} mm inside the bevel. {} tones, {} stop-outs, {} bites. Rasters have {} pixels a millimetre.",
        size.width.0,
        size.height.0,
        face.width.0,
        face.height.0,
        report.tones.len(),
        report.stopouts.len(),
        report.stopouts.len(),
        report.px_per_mm
    ));
    page.paragraph(&times(folder, report));
    if let Some(judged) = folder.judged {
        page.paragraph(&judged.sentence());
        for reason in &judged.reasons {
            page.paragraph(&format!("- {} ({})", reason.words, reason.source));
        }
    }
    page.gap();
    page.line("THE FILES");
    let has = |name: &str| files.iter().any(|file| file.0 == name);
    for (name, words) in [
        ("sheets.pdf", "the sheets at true size. Print at 100 %, never fitted to the page, and check the bars of 100 mm with a rule."),
        ("stopouts.svg", svg_words(folder.view)),
        (
            "steps.png",
            "the step map, print view: the grey value of a pixel is its tone, 0 = never bitten. It looks black on a screen; nothing is wrong with it.",
        ),
        ("plan.csv", "the plan as a table, a row a tone: UTF-8, comma between cells, decimal point, seconds, cm, cm², shares from 0 to 1."),
        ("plan.json", "the same for programs, in mm, seconds and shares, with its notes."),
    ] {
        if has(name) {
            page.paragraph(&format!("{name}: {words}"));
        }
    }
    page.paragraph(
        "masks/stopout-NN.png: the mask of stop-out NN, print view, 8-bit grey: 0 (black) = covered before that bite, 255 (white) = bare. All PNG files \
         carry their true size.",
    );
    if has("masks/lift.png") {
        page.paragraph("masks/lift.png: 0 = the resist stays on through every bite, 255 = what a lift opens.");
    }
    if has("pulls.csv") {
        page.paragraph("pulls.csv: the record of the pulls, a row a pull, as they were written down: UTF-8, comma between cells, lists with “; ” between. Words that a spreadsheet would work out as a formula have an apostrophe before them: take it off to have them back.");
    }
    if files.iter().any(|(name, _)| name.starts_with("pulls/")) {
        page.paragraph("pulls/pull-NN.jpg: the photograph of pull NN.");
    }
    if has("masks/by-hand.png") {
        page.paragraph("masks/by-hand.png: 255 = worked by hand, which no stop-out covers; 0 = all the rest.");
    }
    page.gap();
    page.paragraph(
        "PLATE VIEW is the metal, face up; PRINT VIEW is the pull. They are mirrors of each other; every sheet says which it is. Tone 0 is never bitten, \
         tone N−1 is the darkest. Stop-out j is painted before bite j. The clock is set to the BITE; a TOTAL is all the time a tone has had. Lightness \
         is CIE L* of the dry print.",
    );
    page.gap();
    page.line("NOTES");
    for note in report.notes.iter().filter(|&note| folder.judged.is_none_or(|judged| judged.sentence() != *note)) {
        page.paragraph(&format!("- {note}"));
    }
    page.paragraph(
        "- Acids, rosin dust, solvents and heat can hurt you: your shop's rules, the safety data sheets and local codes come first.",
    );
    page.0
}

fn svg_words(view: View) -> &'static str {
    match view {
        View::Print => {
            "every stop-out as closed paths in mm, PRINT VIEW, a group each, for other programs; 0, 0 is the face's upper left corner."
        }
        View::Plate => {
            "every stop-out as closed paths in mm, PLATE VIEW, a group each, for other programs; 0, 0 is the face's upper left corner."
        }
    }
}

/// Whose the times are, or why there are none.
fn times(folder: &Folder<'_>, report: &PlanReport) -> String {
    if folder.stops() {
        return "STOP: no times are in these files, neither in the sheets nor in the plan, because nothing is to be bitten like this."
            .to_owned();
    }
    match report.strip.kind {
        StripKind::Measured => format!("Times rest on test strip {}.", report.strip.id),
        StripKind::Example => format!(
            "{EXAMPLE}: times and target lightness rest on the example strip {}. Bite a strip of your own before you trust one of them.",
            report.strip.id
        ),
        StripKind::Missing => {
            "There is no test strip yet, so no times are in these files: bite one, and plan again. Until then the tones are an order only; \
                               the lightness in plan.json is the example's."
                .to_owned()
        }
    }
}

/// Text that grows; lines end with CR LF, which every editor takes.
struct Page(String);

impl Page {
    fn line(&mut self, words: &str) {
        self.0.push_str(words);
        self.0.push_str("\r\n");
    }

    fn gap(&mut self) {
        self.line("");
    }

    fn paragraph(&mut self, words: &str) {
        for line in TypeFace::of(Weight::Regular).wrap(words, 9.0, LINE) {
            self.line(&line);
        }
    }
}
