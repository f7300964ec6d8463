//! Windows and doors (ISO 10077-1:2017): U_w = (Σ A_g·U_g + Σ A_f·U_f + Σ l_g·ψ_g)/(Σ A_g + Σ A_f).
//!
//! Areas are the larger of the projected areas seen from both sides (frame) and the smaller visible one
//! (glazing). The formula is from memory of the standard; tests check it against published windows.

/// A window as the sum of its parts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Window {
    /// Area in m² and U_g in W/(m²K) of each pane or opaque panel.
    pub glazing: Vec<(f64, f64)>,
    /// Area in m² and U_f in W/(m²K) of each part of the frame.
    pub frame: Vec<(f64, f64)>,
    /// Visible perimeter in m and ψ_g in W/(m·K) of the glazing's edges.
    pub edges: Vec<(f64, f64)>,
}

impl Window {
    /// A window of one pane in a frame of one visible width; lengths in m. `None` if the frame leaves no
    /// glazing.
    pub fn single(size: [f64; 2], frame_width: f64, u_glazing: f64, u_frame: f64, psi: f64) -> Option<Self> {
        let [width, height] = size.map(|side| side - 2.0 * frame_width);
        let area = width * height;
        (width > 0.0 && height > 0.0).then(|| Self {
            glazing: vec![(area, u_glazing)],
            frame: vec![(size[0] * size[1] - area, u_frame)],
            edges: vec![(2.0 * (width + height), psi)],
        })
    }

    /// Whole area, m².
    pub fn area(&self) -> f64 {
        self.glazing.iter().chain(&self.frame).map(|(area, _)| area).sum()
    }

    /// U_w, W/(m²K).
    pub fn u_value(&self) -> f64 {
        let loss = |parts: &[(f64, f64)]| parts.iter().map(|(size, value)| size * value).sum::<f64>();
        (loss(&self.glazing) + loss(&self.frame) + loss(&self.edges)) / self.area()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Window of a manufacturer's data sheet: 1230 × 1480 mm, frame 104 mm, U_f 0.98, U_g 0.5, ψ_g 0.035: U_w
    /// 0.73 printed. The second and third are an independent calculation from the standard's formula for 110
    /// mm of frame.
    #[test]
    fn single_panes_match_published_windows() {
        let cases = [
            (0.104, 0.5, 0.98, 0.035, 0.73, 0.005),
            (0.110, 1.1, 1.3, 0.08, 1.360, 6e-4),
            (0.110, 0.7, 1.0, 0.04, 0.890, 6e-4),
        ];
        for (frame, glazing_u, frame_u, psi, printed, digit) in cases {
            let window = Window::single([1.23, 1.48], frame, glazing_u, frame_u, psi).unwrap();
            assert!((window.u_value() - printed).abs() <= digit, "{} for {printed}", window.u_value());
        }
        assert_eq!(Window::single([1.0, 0.2], 0.1, 1.0, 1.0, 0.0), None);
    }

    /// Worked example as published (U_w 1.34): A_g 1.2 m², U_g 1.1, A_f 0.3 m², U_f 1.5, l_g 6 m, ψ_g 0.04.
    #[test]
    fn parts_add_up_as_published() {
        let window = Window { glazing: vec![(1.2, 1.1)], frame: vec![(0.3, 1.5)], edges: vec![(6.0, 0.04)] };
        assert!((window.u_value() - 1.34).abs() < 1e-12);
        assert_eq!(window.area(), 1.5);
    }
}
