//! What to see to on the day, printed on the setup sheet.

/// Loading and handling, in the order of the day (common practice, no source).
pub const CHECKLIST: [&str; 9] = [
    "First loads light: half a hopper until flow and pattern are seen to be right.",
    "Load front to back, feathered, never packed: do not drop the scoop from high or tamp it.",
    "Keep stones, roots and clods off the scoop; scrape the pile, not the ground.",
    "Wet material and painted hopper sides hang up: watch the hopper empty, spread damp loads at once.",
    "Do not leave a loaded hopper overnight or drive it far: the load packs and bridges.",
    "Look at the gate, the belt and the blades at every fill; wipe caked blades clean when stopped.",
    "Stay off spinners and belt while anything turns.",
    "Before clearing a bridge: stop, shut off, take the key, lock out, wait until all stands still.",
    "Dust: stay upwind, keep cab and doors shut, wear eye and dust protection at the pile.",
];
