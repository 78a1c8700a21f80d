use std::ops::Range;

use plotters::coord::types::RangedCoordf64;
use plotters::element::DashedPathElement;
use plotters::prelude::*;
use plotters::series::DashedLineSeries;

use crate::report::ReportError;
use crate::units::round_to;

/// Black, for what was measured.
pub(super) const INK: RGBColor = RGBColor(0, 0, 0);
/// Okabe and Ito's blue.
pub(super) const BLUE: RGBColor = RGBColor(0, 114, 178);
/// Okabe and Ito's vermilion.
pub(super) const VERMILION: RGBColor = RGBColor(213, 94, 0);
/// Gray, for limits.
pub(super) const GREY: RGBColor = RGBColor(90, 90, 90);

/// What a chart is drawn on: sizes in pixels, of the letters too.
pub(super) struct ChartPaper {
    size: (u32, u32),
    /// None where the page around it says what it shows.
    caption: Option<u32>,
    letters: u32,
    margins: (u32, u32),
    /// Room for the numbers and names below and left of the axes.
    beside: (u32, u32),
    numbers: usize,
    /// Whether lines are named in the chart; the page around it does otherwise.
    legend: bool,
}

impl ChartPaper {
    /// The top of the axis for values up to `highest`: a legend has its room above them.
    pub(super) fn top(&self, highest: f64) -> f64 {
        highest * if self.legend { 1.55 } else { 1.06 }
    }
}

/// A page of its own.
pub(super) const PAGE: ChartPaper = ChartPaper {
    size: (900, 520),
    caption: Some(24),
    letters: 17,
    margins: (16, 40),
    beside: (52, 72),
    numbers: 12,
    legend: true,
};
/// A column of a printed page: letters of a size to be read there.
pub(super) const INSET: ChartPaper = ChartPaper {
    size: (420, 155),
    caption: None,
    letters: 13,
    margins: (6, 14),
    beside: (38, 48),
    numbers: 8,
    legend: false,
};

/// A chart with its axes drawn.
pub(super) struct Axes<'a, 'b: 'a> {
    chart: ChartContext<'a, SVGBackend<'b>, Cartesian2d<RangedCoordf64, RangedCoordf64>>,
}

/// How a line is drawn.
#[derive(Clone, Copy)]
pub(super) enum Dash {
    Solid,
    Long,
    Short,
}

/// What is drawn at each point of a line.
#[derive(Clone, Copy)]
pub(super) enum Mark {
    None,
    Disc,
    Square,
}

/// One line of a chart.
pub(super) struct Line<'n> {
    pub name: &'n str,
    pub points: Vec<(f64, f64)>,
    pub colour: RGBColor,
    pub dash: Dash,
    pub mark: Mark,
}

/// Draws a chart: axes with their titles, then whatever `draw` puts in, then the legend.
pub(super) fn svg(
    paper: &ChartPaper,
    title: &str,
    [across, up]: [&str; 2],
    [x, y]: [Range<f64>; 2],
    draw: impl FnOnce(&mut Axes<'_, '_>) -> Result<(), ReportError>,
) -> Result<String, ReportError> {
    let mut text = String::new();
    {
        let root = SVGBackend::with_string(&mut text, paper.size).into_drawing_area();
        root.fill(&WHITE).map_err(ReportError::new)?;
        let mut builder = ChartBuilder::on(&root);
        if let Some(letters) = paper.caption {
            builder.caption(title, ("sans-serif", letters));
        }
        let mut chart = builder
            .margin(paper.margins.0)
            .margin_right(paper.margins.1)
            .x_label_area_size(paper.beside.0)
            .y_label_area_size(paper.beside.1)
            .build_cartesian_2d(x, y)
            .map_err(ReportError::new)?;
        chart
            .configure_mesh()
            .x_desc(across)
            .y_desc(up)
            .x_labels(paper.numbers)
            .x_label_formatter(&short)
            .y_label_formatter(&short)
            .label_style(("sans-serif", paper.letters))
            .axis_desc_style(("sans-serif", paper.letters + 2))
            .light_line_style(WHITE)
            .bold_line_style(RGBColor(225, 225, 225))
            .draw()
            .map_err(ReportError::new)?;
        let mut axes = Axes { chart };
        draw(&mut axes)?;
        if paper.legend {
            axes.chart
                .configure_series_labels()
                .position(SeriesLabelPosition::UpperLeft)
                .margin(10)
                .legend_area_size(44)
                .label_font(("sans-serif", paper.letters))
                .background_style(WHITE)
                .border_style(RGBColor(160, 160, 160))
                .draw()
                .map_err(ReportError::new)?;
        }
        root.present().map_err(ReportError::new)?;
    }
    Ok(text)
}

impl<'b: 'a, 'a> Axes<'a, 'b> {
    /// Draws a line with its marks and its entry in the legend.
    pub(super) fn line(&mut self, line: &Line<'_>) -> Result<(), ReportError> {
        let style = line.colour.stroke_width(2);
        let points = || line.points.iter().copied();
        let (size, space) = line.dash.lengths();
        let drawn = match line.dash {
            Dash::Solid => self.chart.draw_series(LineSeries::new(points(), style)),
            _ => self.chart.draw_series(DashedLineSeries::new(points(), size, space, style)),
        };
        let entry = drawn.map_err(ReportError::new)?;
        entry.label(line.name);
        // Marks that the line does not have are drawn transparent.
        let shown = |wanted: bool| line.colour.mix(f64::from(u8::from(wanted)));
        let disc = shown(matches!(line.mark, Mark::Disc)).filled();
        let square = shown(matches!(line.mark, Mark::Square)).stroke_width(2);
        entry.legend(move |at| {
            EmptyElement::at(at)
                + DashedPathElement::new([(0, 0), (40, 0)], size, space, style)
                + Circle::new((20, 0), 4, disc)
                + Rectangle::new([(16, -4), (24, 4)], square)
        });
        let colour = line.colour;
        match line.mark {
            Mark::None => Ok(()),
            Mark::Disc => {
                let discs = points().map(|at| Circle::new(at, 4, colour.filled()));
                self.chart.draw_series(discs).map(|_| ()).map_err(ReportError::new)
            }
            Mark::Square => {
                let squares = points().map(|at| {
                    let corners = [(-4, -4), (4, 4)];
                    EmptyElement::at(at) + Rectangle::new(corners, colour.stroke_width(2))
                });
                self.chart.draw_series(squares).map(|_| ()).map_err(ReportError::new)
            }
        }
    }

    /// Draws a straight line with no entry in the legend.
    pub(super) fn rule(
        &mut self,
        ends: [(f64, f64); 2],
        colour: RGBColor,
        dash: Dash,
    ) -> Result<(), ReportError> {
        let (size, space) = dash.lengths();
        let drawn = match dash {
            Dash::Solid => self.chart.draw_series(LineSeries::new(ends, colour)),
            _ => self.chart.draw_series(DashedLineSeries::new(
                ends,
                size,
                space,
                colour.stroke_width(2),
            )),
        };
        drawn.map(|_| ()).map_err(ReportError::new)
    }
}

/// A number on an axis, without zeros that say nothing.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that the axes call")]
fn short(value: &f64) -> String {
    (round_to(*value, 3) + 0.0).to_string()
}

impl Dash {
    /// Lengths of stroke and gap, in pixels.
    fn lengths(self) -> (u32, u32) {
        match self {
            Self::Solid => (40, 0),
            Self::Long => (10, 5),
            Self::Short => (3, 4),
        }
    }
}
