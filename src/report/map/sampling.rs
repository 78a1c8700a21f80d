//! Where to sample: the field with its samples, their names and the way round them.

use geo::{Coord, MultiPolygon};

use super::labels::{LabelKind, Labels, Occupied};
use super::paper::{MapPaper, Room};
use super::svg::{Svg, escaped, parts};
use super::{BESIDE, HEIGHT, MARGIN, TITLE, WIDTH, entrance, furniture, marks};
use crate::report::ReportError;
use crate::report::letters::Letters;
use crate::report::text::shortened;
use crate::sampling::SamplingPlan;
use crate::units::count;

/// The map of a sampling plan, laid out.
pub struct SamplingMap<'a> {
    plan: &'a SamplingPlan,
    paper: MapPaper,
    field: MultiPolygon<f64>,
    samples: Vec<Coord<f64>>,
    taken: Vec<Coord<f64>>,
    gate: Option<Coord<f64>>,
    labels: Labels,
    letters: Letters,
}

/// The map with its title, as SVG.
///
/// # Errors
/// When a position of the plan has no place on the map.
pub fn sampling_map(plan: &SamplingPlan) -> Result<String, ReportError> {
    let map = SamplingMap::new(plan)?;
    let (width, top) = (map.paper.width, MARGIN + TITLE + furniture::ABOVE);
    let height = top + map.paper.height + furniture::BELOW + MARGIN;
    let mut svg = map.opened(width + 2.0 * MARGIN, height);
    svg.add(format_args!(
        "<path d=\"M0 0h{:.1}v{height:.1}H0z\" fill=\"#fff\"/>\n\
         <text x=\"{MARGIN}\" y=\"{:.1}\" font-size=\"22\">{}</text>\n<g transform=\"translate({MARGIN} {top})\">",
        width + 2.0 * MARGIN,
        MARGIN + 22.0,
        escaped(&shortened(&plan.field.name, 50))
    ));
    map.draw(&mut svg)?;
    svg.add(format_args!("</g>\n</svg>"));
    Ok(svg.into_text())
}

impl<'a> SamplingMap<'a> {
    /// Lays the map out.
    pub fn new(plan: &'a SamplingPlan) -> Result<Self, ReportError> {
        let boundary = &plan.field.boundary;
        let room = Room { width: WIDTH, height: HEIGHT, free: BESIDE };
        let paper = MapPaper::for_field(boundary, &room)
            .ok_or_else(|| ReportError::new("the field has no extent"))?;
        let letters = Letters::new().map_err(ReportError::new)?;
        let field = paper.parts(boundary.local());
        let samples: Vec<Coord<f64>> =
            plan.samples.iter().map(|sample| paper.at(sample.local)).collect();
        let on_paper = |at: &Coord<f64>| paper.holds(*at);
        let taken: Vec<Coord<f64>> =
            plan.field.taken.iter().map(|(_, at)| paper.at(*at)).filter(on_paper).collect();
        let gate = plan.field.gate.map(|at| paper.at(at)).filter(on_paper);
        let dots: Vec<Coord<f64>> = samples.iter().chain(&taken).chain(&gate).copied().collect();
        let mut page = Occupied::new((paper.width, paper.height), &field, &dots, &letters);
        if let Some(at) = gate {
            page.point_to(LabelKind::Pile, "gate".to_owned(), at, 10.0);
        }
        let ids: Vec<String> =
            plan.samples.iter().map(|sample| shortened(&sample.id, 12)).collect();
        page.write_beside(&ids);
        let labels = page.into_labels();
        Ok(Self { plan, paper, field, samples, taken, gate, labels, letters })
    }

    /// The map for a page that says the rest.
    pub fn on_a_page(&self) -> Result<String, ReportError> {
        let height = furniture::ABOVE + self.paper.height + furniture::BELOW;
        let mut svg = self.opened(self.paper.width, height);
        svg.add(format_args!("<g transform=\"translate(0 {})\">", furniture::ABOVE));
        self.draw(&mut svg)?;
        svg.add(format_args!("</g>\n</svg>"));
        Ok(svg.into_text())
    }

    fn opened(&self, width: f64, height: f64) -> Svg {
        let title = format!("Map of the samples of {}", shortened(&self.plan.field.name, 120));
        let told = format!(
            "{}, in walking order; their positions are in the table.",
            count(self.samples.len(), "sample", "samples")
        );
        Svg::opened([width, height], "samples", &title, &told)
    }

    fn draw(&self, svg: &mut Svg) -> Result<(), ReportError> {
        svg.add(format_args!(
            "<path d=\"{0}\" fill=\"#d9d2b8\" fill-rule=\"evenodd\"/>\
             <path d=\"{1}\" fill=\"#f4f1e6\" fill-rule=\"evenodd\"/>\
             <path d=\"{0}\" fill=\"none\" stroke=\"#111\" stroke-width=\"2.4\" stroke-linejoin=\"round\"/>",
            parts(&self.field),
            parts(&self.paper.parts(self.plan.field.ground.allowed()))
        ));
        for keep_out in &self.plan.field.keep_outs {
            svg.add(format_args!(
                "<path d=\"{}\" fill=\"#fff\" stroke=\"#b3261e\" stroke-dasharray=\"5 3\" fill-rule=\"evenodd\">\
                 <title>Not spread: {}</title></path>",
                parts(&self.paper.parts(&keep_out.area)),
                escaped(&shortened(&keep_out.why, 120)),
            ));
        }
        self.way(svg);
        svg.add(format_args!("<g fill=\"#fff\" stroke=\"#555\" stroke-width=\"1.2\">"));
        for at in &self.taken {
            svg.add(format_args!("<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.6\"/>", at.x, at.y));
        }
        svg.add(format_args!("</g>"));
        svg.add(format_args!("<g stroke=\"#fff\" stroke-width=\"1\">"));
        for at in &self.samples {
            svg.add(format_args!("<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3.6\"/>", at.x, at.y));
        }
        svg.add(format_args!("</g>"));
        marks::labels(svg, &self.labels.placed, &self.letters);
        if let Some(at) = self.gate {
            entrance::draw(svg, at);
        }
        furniture::frame(svg, &self.paper);
        let frame = self.plan.field.boundary.frame();
        furniture::corners(svg, &self.paper, frame, &self.letters).map_err(ReportError::new)?;
        furniture::north(svg, &self.paper);
        furniture::scale_bar(svg, &self.paper, self.plan.field.system);
        Ok(())
    }

    /// The way round, from the gate and back to it.
    fn way(&self, svg: &mut Svg) {
        let stops = self.gate.iter().chain(&self.samples);
        let corners: Vec<String> = stops.map(|at| format!("{:.1} {:.1}", at.x, at.y)).collect();
        svg.add(format_args!(
            "<path d=\"M{}z\" fill=\"none\" stroke=\"#0072b2\" stroke-width=\"1.3\" stroke-dasharray=\"6 3\" \
             stroke-linejoin=\"round\"><title>the way round</title></path>",
            corners.join("L")
        ));
    }
}
