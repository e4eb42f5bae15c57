/** What the page may send to the worker, and what comes back. The worker owns one `Work`; every call goes through it. */

/** A choice of the page; the core checks every value and refuses in a sentence. */
export interface Settings {
  plate: { width_mm: number; height_mm: number; bevel_mm: number };
  /** cover fills the face, cropping centrally; contain leaves paper white. */
  fit: "cover" | "contain";
  placing: PlacingSettings;
  /** null: the file as it is. */
  photo: PhotoSettings | null;
  px_per_mm: number;
  /** 2 to 16 */
  tones: number;
  /** L* of the drawing, N−1 values, falling, when moved by hand. */
  breaks: "even" | "fitted" | number[];
  /** Smallest mark, diameter in mm; 0 = no clean-up; 0.3 to 5 otherwise. */
  mark_mm: number;
  /** Lightness kept back from the strip's darkest reading, L*, 0 to 20: a larger one ends on a lighter black and shortens the last bite. */
  reserve_l: number;
  /** null: the example strip 15-A; "none": no strip yet, and no times. Readings are [total seconds, dry-print L*], the first is [0, paper]. */
  strip: StripSettings | "none" | null;
  /** What is set by hand on the cleaned map, in the order it was done; up to 1000. */
  hand: Edit[];
  /** Ground that stays on through every bite; null: the whole face is open. */
  resist: Resist | null;
  /** Reach of the edge-keeping smoothing before the clean-up, mm, 0 to 3; 0: none. Without clean-up there is none. */
  smoothing_mm: number;
  /** Thin dark lines stay in the tones, or are etched before the grain while the tones continue beneath. */
  lines: "stay" | "etched";
  hand_speed: HandSpeed;
  /** How far the printer's edges wander: a standard deviation, mm, 0.05 to 3. */
  hand_error_mm: number;
  /** Minutes that stop-outs really took, 0.1 to 1440. */
  painted: Painted[];
  /** How much one printed tone scatters: a standard deviation, L*, 0.1 to 10. */
  scatter_l: number;
  /** The printer's own minutes a bite for the varnish to dry, and for rinsing and drying the plate, 0 to 1440; null: not given, and not counted. */
  bench: { dry_min: number | null; rinse_min: number | null };
  bath: BathSettings;
  /** One known time bitten first thing on the day, and the L* of its dry print: scales all times; null: none. */
  witness: { seconds: number; lightness: number } | null;
  strip_plan: StripPlanSettings;
  /** Standard deviation of one reading of the strip, L*, 0.1 to 10. */
  reading_error_l: number;
  /** Seconds: how far a hand may be off (0.5 to 30); what passes at each dip before it bites, and how long it bites on after lifting (0 to 30). */
  handling: { slack_s: number; lag_s: number; drag_s: number };
}

/** What has been done to the metal. It is no choice: Undo never touches it. */
export interface Done {
  /** Append-only; up to 10,000 entries. */
  log: LogEntry[];
  /** The map as it was when the last stop-out was ticked, as `freeze` gave it: what is covered by then is taken from it. null: nothing painted, or a plate that came already bitten and was never planned here. */
  kept: Kept | null;
}
/** `id` tells one map from another; `png` is 8-bit grey. */
export interface Kept { id: string; png: Uint8Array }

/** `at_ms`: the page's clock, ms since 1970 UTC; `note`: the printer's own words, up to 2000 letters, may be empty. */
export type LogEntry = { at_ms: number; note: string } & Happened;
export type Happened =
  /** The plate came already bitten: bites 1 to n. Only the first entry. */
  | { kind: "begun"; bites_s: number[]; factor?: number | null }
  /** Ticked: what it covers is frozen. */
  | { kind: "painted"; stop_out: number; minutes: number | null }
  /** `planned_s`: what the clock was set to; 0: no strip, nothing was planned. `factor`: the plan's `bath.factor` when it bit; left out or null: not known, taken to be the factor of now. */
  | { kind: "bitten"; bite: number; planned_s: number; actual_s: number; celsius: number | null; factor?: number | null; joined?: boolean }
  /** The same bite once more, before anything else was painted: a dip of its own. */
  | { kind: "put_back"; bite: number; planned_s: number; actual_s: number; celsius: number | null; factor?: number | null }
  /**
   * How to go on after a bite that leaves the next one too little: every later tone is in `joined` or, after those, in `rungs`. Between that bite and the next. Of a `WayOn`:
   * `rungs.map((r) => ({ tone: r.tone, lightness: r.prints_l, total_s: r.total_s, shown_s: r.shown_total_s }))` and its `joined`.
   */
  | { kind: "way"; bite: number; rungs: { tone: number; lightness: number; total_s: number; shown_s: number }[]; joined: number[] }
  /** `entry` is the place of the entry it puts right, from 0. `not_done` only for the last thing done. */
  | { kind: "corrected"; entry: number; to: { kind: "not_done" } | { kind: "dip"; actual_s: number; celsius: number | null } };

/** What a project file holds beside the drawing's bytes and the kept map; tests/contract/project.schema.json says it in full. */
export interface Project {
  drawing: { name: string };
  settings: Settings;
  done: { log: LogEntry[]; kept: { id: string } | null };
  job: Job;
  /** The other plates of the family: the names of their own whole project files in the ZIP, plates/01.stepbite.zip and on, at most 29. */
  family: string[];
}
/** The printer's choices beside the plan. */
export interface Job {
  /** Tells the plate from the others of its family; null: the page gives it one. */
  id: string | null;
  title: string; letter: string; units: "mm" | "in"; proof: ProofSettings;
  /** Plates that print over the one at hand. */
  plates: BroughtPlate[];
  sheets: Omit<SheetSettings, "title" | "letter" | "date" | "record" | "zones_of">;
  /** Of the whole family, kept with the plate at hand: how its plates lie beside one another, the day at the bath, what was pulled. null: nothing said. */
  row: Row | null;
  day: FamilyDay | null;
  record: PullRecord | null;
  /** Papers laid under this plate's ink. null: none. */
  papers: Papers | null;
  /** Lines of the ticket that are settled. */
  ticks: Partial<Record<"drawing" | "tones" | "painting" | "times" | "plates" | "sheets" | "bath" | "proof" | "papers" | "pulls", boolean>>;
}

/** How the family's plates lie beside one another. Print view. */
export interface Row {
  /** As the print is read, row by row. A plate of the family that is not named stands last, upright. */
  plates: RowPlace[];
  /** Plates in each row; null: all in one. */
  columns: number | null;
  /** At what plates of different heights stand in line. */
  align: RowAlign;
  /** Whether the search may turn plates by half a turn. */
  turns: boolean;
  /** What joints are judged by: tones alone, or 3.3 L* more for each mm that main edges lie apart: 1.5 mm count as 5 L*. */
  weigh: "tone" | "both";
  gap_mm: number; gap_down_mm: number;
  bed: Bed;
  /** The paper's growth between runs, for a registration template; null: no template. */
  registration: PaperGrowth | null;
}
export type RowAlign = "top" | "foot" | "horizon";
/** A plate in the row: whether it keeps its place and its turn in every search, and its horizon from the metal's top edge, mm (null: half way down). `out`: it stands in no row. */
export interface RowPlace { id: string; turned: boolean; place_pinned: boolean; turn_pinned: boolean; horizon_mm: number | null; out?: boolean }
/** Press and sheet, mm. The bed runs along its length; `feed`: which end of its picture (plate view) goes in first; `grip_mm`: what of the sheet stays under the roller. */
export interface Bed {
  length_mm: number; width_mm: number; along: boolean; feed: "left" | "right"; sheet_mm: [number, number];
  margin_mm: number; bleed: boolean; grip_mm: number;
}
/** Percent; negative: it shrinks. */
export interface PaperGrowth { along: number; across: number; fibre_across: boolean }

/** A row that is asked about: `plate` is the id of a map with the worker, null the plate at hand. */
export interface RowSpec {
  plates: { plate: string | null; letter: string; turned: boolean; plate_mm: [number, number]; horizon_mm: number | null }[];
  columns: number | null; align: RowAlign; weigh: "tone" | "both";
}
/** Joints as they stand, between places: mean difference of lightness (L*, null: no height in common), best slip of the second one down or to the right, distance of main edges that should meet; `cost`: what it counts as in every sum (L*; 100 where they do not meet). */
export interface RowJoints { joints: RowJoint[]; sum: number; worst: number; horizons_mm: number[] }
export interface RowJoint { between: [number, number]; down: boolean; tone: number | null; slip_mm: number; shape_mm: number | null; cost: number; looks: "runs_on" | "shows" | "breaks" }
/** An order that was found: which plate of those asked about, row by row; costs of its joints, those across first. */
export interface RowOrder { order: { plate: number; turned: boolean }[]; joints: number[]; sum: number; worst: number; worst_between: [number, number] | null }
/** The best orders; `exact`: proven. `bound`: no order's sum is under it. `orders`: how many different prints there are, copies and whole turns counted once. */
export interface RowsFound { run_on: RowOrder[]; mildest: RowOrder; contrast: RowOrder[]; exact: boolean; bound: number; orders: number }
/** What a picture drawn higher on its plate would win: joints at its left and right as they are and as they would be, L*. */
export interface RowRaised { sentence: string; joints: ([number, number] | null)[]; best_mm: number; best_sum: number }
export interface LiesMm { x: number; y: number; width: number; height: number }
/** Plates on the press bed: `bed` boxes in plate view from the bed's upper left corner, `print` boxes in print view from the sheet's. Margins: left, right, top, foot of the print. */
export interface BedFacts {
  plates: { letter: string; plate: number; turned: boolean; row: number; print: LiesMm; bed: LiesMm }[];
  bed: LiesMm; sheet: LiesMm; print: LiesMm; block: LiesMm; across: boolean; feed: "left" | "right"; grip: LiesMm | null;
  notes: string[]; margins: [number, number, number, number]; read: string; on_the_bed: string; growth: string | null;
  /** Where the print before lies beside each plate of the row, print view; empty where no growth is given. */
  fringes: Fringe[];
  /** Plates that stand in no row, each with a template of its own, or why it has none. */
  over: { letter: string; growth: string | null; trouble: string | null; fringes: Fringe[] }[];
}
/** The print before beside a plate, mm: `edges` at its left, right, top and foot, positive to the right and down. */
export interface Fringe { letter: string; plate: LiesMm; before: LiesMm; edges: [number, number, number, number] }
/** What is asked of the bed. */
export interface BedSpec { row: RowSpec; bed: Bed; gap_mm: number; gap_down_mm: number; registration: PaperGrowth | null; over?: RowSpec["plates"] }
/** The day of the whole family at the bath. */
export interface FamilyDay {
  /** The hours of a working day, minutes from midnight. */
  from_min: number; to_min: number;
  dry_overnight: boolean;
  /** The floor of the tray; null: every plate is bitten alone. */
  tray_mm: [number, number] | null;
  /** The first day ends after this bite at the latest; null: when its hours end. */
  break_after: number | null;
}
/** What was pulled, and what is touched by hand afterwards. null anywhere: not said. */
export interface PullRecord {
  /** Pulls planned with the plate at hand, the size of the edition, what a past plate of the printer's own stood: whole numbers from 1. */
  planned: number | null;
  edition: number | null;
  lifetime: number | null;
  /** In the order they were written down, at most 500. */
  pulls: Pull[];
  /** The bytes of every photograph that a pull or a correction names: JPEG in base64 (RFC 4648), 300 kB each and 24 MB in all at most; "": only its place is spoken of. */
  photos: { id: string; jpeg: string }[];
  /** At most 60; `at` mm of the face of the plate with that id, PRINT VIEW. */
  touches: Touch[];
}
export interface Touch { plate: string; at: Xy; words: string }
export interface Pull {
  /** It never changes. */
  number: number;
  now: PullSaid;
  /** What held before, the first correction first; at most 20. Days as YYYY-MM-DD. */
  corrections: { day: string; note: string; was: PullSaid }[];
}
/** What is said of a pull; texts may be empty. */
export interface PullSaid {
  /** YYYY-MM-DD */
  day: string;
  kind: "proof" | "edition" | "unique";
  /** Its number in the edition; null: not numbered, or no part of one. */
  copy: number | null;
  /** In the order they printed. */
  plates: { letter: string; turned: boolean; ink: string }[];
  /** Under the ink, the first laid first. */
  papers: string[];
  sheet: string; damping: string; wiping: string; pressure: string; words: string;
  photo: { id: string; alt: string } | null;
  /** Struck out: it was never pulled. It keeps its place. */
  struck: boolean;
}
/** What is said of a record. `lines` are a name and words each; `said` is of the edition's numbers; `next_copy` null: the edition is full. `made`: pulls of the plate asked for. */
export interface RecordFacts {
  pulls: { number: number; label: string; lines: [string, string][]; corrections: string[] }[];
  said: string[];
  next_number: number; next_copy: number | null;
  made: number;
  /** A warning, no promise. `own`: held against the printer's own figure; else common practice without a source. */
  wear: { band: "few" | "look" | "many"; own: boolean; said: string[] };
}
/** Thin papers under this plate's ink: the one list of pieces that proof, sheets and laying clock go by. While it has pieces, `ProofSettings.laid` has none. */
export interface Papers {
  /** Up to 24. */
  stocks: PaperStock[];
  /** Up to 200. */
  pieces: PaperPiece[];
  /** Which piece lies above which in the print, by place in `pieces`. */
  above: [number, number][];
  /** Overlap added beneath where pieces meet, mm, 0–10. */
  lap_mm: number;
  /** How long paste stays open, by a trial piece, s, 10–7200. */
  open_s: number;
  /** How long a piece takes to pick, paste and place, s, 1–600. */
  each_s: number;
  /** Whether the printer timed the open time, and the time a piece. Missing or false while the figure is what papers begin with: an example. */
  open_own?: boolean;
  each_own?: boolean;
  /** Scatter of the pace of a whole pull, and of one piece's time, of themselves, 0–1. */
  pace: number;
  scatter: number;
}
/** A paper, known as `LaidPaper` is; it grows when pasted. */
export interface PaperStock {
  name: string;
  on_white: Hex;
  on_black: Hex;
  sheet?: Hex | null;
  weight?: { pad: Hex; grams: number } | null;
  back: Hex | null;
  /** Along its fibres and across them, %, 0–5. */
  along_pct: number;
  across_pct: number;
}
export interface PaperPiece {
  /** May be empty. */
  name: string;
  /** Place in `stocks`. */
  stock: number;
  /** At the size it has when pasted, print view; null: a ground as large as the plate. */
  outline: Xy[] | null;
  /** Which way its fibres run: degrees from the level, anticlockwise in print view, −180–180. */
  fibre_deg: number;
  edge: "cut" | "torn";
  /** The other side to the ink. */
  turned: boolean;
  tear: number;
}
/** What there is to say of papers; places are those in `Papers.pieces`. */
export interface PapersFacts {
  pieces: {
    /** Its turn, from 1, the lowest nearest the viewer; where no order lays the pieces its place in the list, from 1. Those left out come last. */
    number: number;
    /** With overlap, clipped to the plate; null: a whole ground. */
    outline: Xy[] | null;
    area_cm2: number;
    /** Width and height as cut dry; 0 where no order lays the pieces. */
    cut_mm: [number, number];
    lapped: boolean;
    /** In how many parts it comes, 1 or more: each is pasted by itself. */
    parts: number;
    /** Why it is not laid, a sentence; its number comes after all others, and `outline` is null. null: it is laid. */
    left_out: string | null;
  }[];
  /** Which piece is laid when, without those left out; null: pieces lie above one another in a ring, which is `cycle`. */
  order: number[] | null;
  cycle: number[] | null;
  /** Pieces over one another or, where overlap is added, edge to edge (`over_mm2` 0). */
  meet: { pieces: [number, number]; over_mm2: number; decided: boolean }[];
  notes: string[];
  /** What there is to say of each paper's colours. */
  stocks: (string | null)[];
  paste: {
    /** How many times paste goes on: pieces that are laid, each part by itself. */
    pieces: number;
    takes_s: number;
    spread_s: number;
    /** The chance that the first piece is dry before the press, 0–1. */
    late: number;
    /** As many pieces are late once in twenty pulls at most. */
    most: number;
  };
  /** The surest first; `pieces` of a pull and the chance left. */
  remedies: { way: "merge" | "second_pair" | "misted" | "two_pulls"; pieces: number; late: number }[];
  /** The face's width and height, and the bevel, mm. */
  plate: [number, number, number];
}

/** Another plate of the family, planned beside the plate at hand on the family's ladder. `plate` lies with the worker under `plate.id`. */
export interface KinFacts {
  plate: BroughtPlate;
  plate_mm: { width: number; height: number };
  face_mm: { width: number; height: number };
  /** Times null without a strip. */
  tones: { index: number; lightness: number; share: number; total_s: number | null; shown_total_s: number | null; bite_s: number | null; set_s: number | null }[];
  stopouts: StopOut[];
  joins: Joins;
  standing: Standing;
  notes: string[];
}
/** What a plate that lacks tones skips: the bites of each of its dips (first and last), and the stop-outs it is painted with. */
export interface Joins {
  dips: [number, number][];
  painted: number[];
  /** The dips still to come, each from its first bite to its last, with what the clock is set to and the total then, s; without a strip null. After the last the plate is out. */
  to_come: { from: number; to: number; set_s: number | null; shown_total_s: number | null }[];
  /** What is to be said of joined bites; null: none are. */
  said: string | null;
}

/** Where the plate stands by its log. */
export interface Standing {
  /** The last stop-out painted and the last bite done; 0: none. */
  painted: number; bitten: number;
  /** Bites dropped: their tones print as the tone before them. */
  dropped: number[];
  /** Stop-outs with the minutes that painting them took, where the log has them. They teach the pace where `settings.painted` says nothing of that stop-out. */
  minutes: [number, number][];
  /** Place in the log of the last thing done that still stands, from 0: it alone may be told not to have happened. null: nothing stands. */
  last: number | null;
  /** In the bath so far, s. */
  total_s: number;
  next: { kind: "paint"; stop_out: number } | { kind: "bite"; bite: number } | { kind: "finished" };
  /** What was off at each bite, what that does in L*, and what follows from it: sentences. The plan's own tones have the times as they stand now. */
  said: string[];
  /** The next bite has too little left: nothing is painted or bitten before one of the two ways is chosen, by a `way` entry. null: nothing to decide. */
  due: { after: number; dropped: WayOn | null; respaced: WayOn | null } | null;
  /** The last bite came short and nothing is painted since: what the clock is set to if the plate is put back. */
  back: { bite: number; set_s: number } | null;
  /** The first `breaks` breaks do not move, the plate keeps `least_tones` tones, and why; null: nothing is painted. */
  locked: { breaks: number; least_tones: number; said: string | null };
  /** Where the plan wants what the metal can't give any more. Lists have at most 60 of the largest; counts and shares are of all. */
  wishes: { lighter: Place[]; darker: Place[]; lighter_count: number; darker_count: number; lighter_share: number; darker_share: number };
  /** Something is painted that no map is kept of: ask for `freeze` and put it into `done.kept`. */
  to_keep: boolean;
}

/** Metal, mordant and tray; null: not said. Words are the printer's own; figures too: none is given here. */
export interface BathSettings {
  metal: string | null;
  mordant: string | null;
  /** What this tray has bitten before; "none": no other metal; null: not answered. */
  before: string | null;
  /** The bath when the strip was bitten (null: as noted with the strip), and today, °C, above 0 and below 100. */
  strip_c: number | null;
  today_c: number | null;
  /** Activation energy applied to all times, kJ/mol, within what was published for the pair; null: not applied. */
  warmth_kj: number | null;
  litres: number | null;
  /** Grams of the mordant's substance a litre; grams of metal a litre, which wins. */
  strength_g_l: number | null;
  capacity_g_l: number | null;
  /** How deep the darkest tone ends, µm, 1 to 1000; null: the core's assumption. */
  depth_um: number | null;
}

/** A strip to bite: `bands` (2 to 20) totals spaced geometrically from `first_s` to `last_s`, chosen by the printer. */
export interface StripPlanSettings { first_s: number; last_s: number; bands: number; way: "covered" | "withdrawn"; width_mm: number; height_mm: number }

/** STOP: no run sheet prints. sign_off: only once whoever answers for the shop agrees. There is no third. */
export type Verdict = "stop" | "sign_off";

/** The day at the bath. */
export interface Bath {
  /** Whether metal or mordant is named. */
  named: boolean;
  pair: { verdict: Verdict; pair: string; reasons: { verdict: Verdict; words: string; source: string }[] };
  /** The verdict as a sentence. */
  said: string;
  /** Published activation energies of the pair, kJ/mol. */
  energies: { low: number; high: number; source: string };
  /** What the temperatures may do to the times, least and greatest factor; null: not both are known. */
  temperature: { factor: [number, number]; applied_kj: number | null; applied: number | null; overridden: boolean } | null;
  /** Today's time over the strip's for the same lightness, with its range at 10 and 90 %. */
  witness: { ratio: number; range: [number, number]; strip_total_s: number; unlikely: boolean; said: string } | null;
  /** What all times of the strip are multiplied by. */
  factor: number;
  depth_um: number;
  /** Metal this plate gives up at most, g; null: no strip, no metal, or an alloy. */
  taken: { grams: number; bites: number[]; capacity_g: number | null; share: number | null } | null;
  strip_plan: { ratio: number; paper_mm: number; bands: { number: number; exact_s: number; total_s: number; dip_s: number; from_mm: number; to_mm: number; act: string }[] };
  /** Without a strip: the total of each bite as a multiple of the first. */
  ratios: number[] | null;
}

/** A strip of the printer's own. */
export interface StripSettings {
  id: string;
  /** [total s, L*], the paper at 0 s first. */
  readings: [number, number][];
  /** Whether it was drawn out of one dip band by band, or covered between dips, each of which is a restart. */
  made?: "one_dip" | "covered";
  about?: StripAbout;
}
/** What is known of a strip besides; nothing is computed from it but what the page says. Texts may be empty. */
export interface StripAbout {
  /** The day it was bitten, as YYYY-MM-DD. */
  bitten?: string;
  bath?: string; agitation?: string; grain?: string; ink?: string; paper?: string;
  /** Temperature of the bath, °C. */
  celsius?: number | null;
  /** How it was read. */
  read?: "meter" | "photo" | "scan" | "by_eye";
}

/** Points of a line on the face, mm, print view, as text: "x,y x,y …"; up to 5000. */
export type Path = string;

/** One thing set by hand. Places are mm of the face, print view; a tone the plate lacks counts as its darkest. */
export type Edit =
  /** What lies within half of `width_mm` (0.1 to 50) of a line takes the tone. */
  | { kind: "stroke"; path: Path; width_mm: number; tone: number }
  /** What a closed line goes round takes the tone; three points or more. */
  | { kind: "lasso"; path: Path; tone: number }
  /** The region at a place takes the tone. */
  | { kind: "fill"; at: [number, number]; tone: number }
  /** What clean-up took away there, or within a millimetre, comes back. */
  | { kind: "keep"; at: [number, number] }
  /** What a closed line goes round leaves the stop-outs. */
  | { kind: "by_hand"; path: Path };

export type Resist =
  /** By closed shapes, which are what is open, or what is covered. */
  | { kind: "drawn"; shapes: Path[]; open_inside: boolean }
  /** Outside the drawing's own outline: of all that is not tone 0, or of what is darker than an L*. */
  | { kind: "outline"; darker_than: number | null };

/** Where the drawing lies, beside how it fits. */
export interface PlacingSettings {
  /** Clockwise as the print reads, degrees, −360 to 360; multiples of 90 are exact. */
  turn: number;
  /** The part used: shares of the upright drawing's width and height. */
  crop: { left: number; top: number; right: number; bottom: number };
  /** From the face's middle to the used part's, to the right and down as the print reads, mm. */
  offset_mm: [number, number];
  /** Times the size, 0.01 to 100. */
  scale: number;
  /** The size the file's density or the sheet gives, instead of the size that fits. */
  true_size: boolean;
}

/** What is to be made of a photograph, or of a scan on coloured paper. */
export interface PhotoSettings {
  /** The sheet's corners in pixels of the upright picture, from the outer corner of its first pixel, clockwise from the upper left; null: the whole picture is the sheet. */
  corners: [[number, number], [number, number], [number, number], [number, number]] | null;
  /** null: proportions told from the perspective, the longer side taken as 297 mm. */
  sheet_mm: [number, number] | null;
  /** Places of bare paper, shares of the sheet. */
  spots: [number, number][];
  even: boolean;
  neutral: boolean;
  /** Luminance, or shares of linear red, green and blue. */
  mix: "lightness" | [number, number, number];
}
/** What a hand paints. */
/** A logged time, and what was painted in it: the plan may have moved since. Where that is not known, what the plan paints there now. */
export interface Painted {
  number: number; minutes: number;
  done: { edge_cm: number; area_cm2: number; islands: number } | null;
}
export interface HandSpeed { edge_cm_per_min: number; area_cm2_per_min: number; island_s: number }

/** A colour as "#rrggbb", sRGB. */
export type Hex = string;

/** How the proof is made and looked at. Lengths in mm of plate, outlines and places in PRINT VIEW from the face's top left corner. */
export interface ProofSettings {
  /** The sheet's colour; null: as the strip's paper, neutral. */
  paper: Hex | null;
  /** Film of plate tone over all, as density of the plate's first ink added to the strip's own; 0 = none. */
  plate_tone: number;
  grain: GrainChoice;
  /** Edges as a hand paints them; null: exactly as planned. */
  edges: EdgeChoice | null;
  lamp: "daylight" | "booth" | "warm";
  /** The printer's inks, by place. */
  inks: ProofInk[];
  /** Zones of ink on this plate, later ones over earlier ones; around them lies the ink of this plate's printing. */
  zones: InkZone[];
  /** How softly zones run into each other, mm, 5–10. */
  zone_border_mm: number;
  /** Minutes for one ink, in all its zones, at the printer's own pace. */
  zone_minutes: number;
  /** Thin papers under the ink; the first laid on the inked plate, and so nearest the viewer, comes first. */
  laid: LaidPaper[];
  /** Sent along with the proof, never kept in it: `Job.papers`. */
  papers?: Papers | null;
  /** The plates of the pull, the first printed first, at most four; just one has `plate` null: the plate at hand. */
  printings: PrintingChoice[];
}
export interface GrainChoice {
  kind: "rosin" | "sprayed";
  size: "fine" | "medium" | "coarse";
  /** Share of the metal covered, 0.05–0.95; null: as told by the strip, or the usual of that kind. */
  cover: number | null;
  /** Median radius that somebody measured, µm, 10–200; null or missing: the usual of that size. */
  median_um?: number | null;
  /** Which of all the grains of this kind, 1 to 9999. */
  seed: number;
}
export interface EdgeChoice {
  /** Which hand, 1 to 9999. */
  seed: number;
  /** Standard deviation of an edge about its line, mm, 0–1.5. */
  wander_mm: number;
  /** How far varnish runs into the grain, mm, 0–1. */
  creep_mm: number;
  /** How far new paint goes over the old edge, mm, 0–3. */
  lap_mm: number;
}
export interface ProofInk {
  name: string;
  /** What is known of it. `tone` is the tone of this plate, as it was then, that printed the pale patch. */
  known: { full: Hex; opacity: number } | { full: Hex; pale: Hex; tone: number };
  /** How its patches were printed, so that no later plan moves the ink; null or missing: by the plan at hand, until `ink_prints` has told. */
  printed?: InkPrinted | null;
  /** The bare sheet beside the patches; null: what they were printed on. */
  sheet: Hex | null;
  /** Share of transparent medium, 0–0.95. */
  thinned: number;
  /** Times as strong as the patch, 0.1–3. */
  strength: number;
}
/** Lands (share) and film (1 = a full pit of the strip then) of the tones that printed an ink's patches; that strip's n and full density; the sheet in linear light. */
export interface InkPrinted {
  n: number;
  density: number;
  sheet: [number, number, number];
  full: { lands: number; film: number };
  pale: { lands: number; film: number } | null;
}
export interface InkZone {
  name: string;
  /** Place in `inks`; null: what the strip was printed in. */
  ink: number | null;
  /** A closed outline. */
  outline: Xy[];
}
export interface LaidPaper {
  name: string;
  /** Its colour on a white sheet and on black. */
  on_white: Hex;
  on_black: Hex;
  /** That white sheet; null or missing: the strip's paper. What is printed on may be another. */
  sheet?: Hex | null;
  /** Known by the colour of a thick pad and its weight, g/m², 2–300, instead: an estimate. */
  weight?: { pad: Hex; grams: number } | null;
  /** Which of all tears, 1 to 9999, where it is torn. */
  tear?: number;
  /** null: over the whole face. */
  outline: Xy[] | null;
  edge: "cut" | "torn";
  /** Print side: is it laid good side to the ink? The other side is `back`, where it differs. */
  back: Hex | null;
  turned: boolean;
}
export interface PrintingChoice {
  /** A plate brought in, by its id; null: the plate at hand. */
  plate: string | null;
  /** Place in `inks`; null: what the strip was printed in. */
  ink: number | null;
  /** Thickness of its film on a wet one, 0–1. */
  trap: number;
  /** To the right and down, mm, within 20. */
  shift_mm: Xy;
  /** More than true size across and down, 0.01 = 1 %, within 0.05. */
  growth: Xy;
  /** Clockwise, degrees, within 5. */
  turn: number;
}

/** A plate that prints over the one at hand, made from its own saved project; the page keeps it with the work. */
export interface BroughtPlate {
  /** Same plate, same id. */
  id: string;
  letter: string;
  title: string;
  face_mm: { width: number; height: number };
  tones: number;
  /** Its tones are by the example strip, for want of one of its own. */
  example: boolean;
  /** The core's own words for it, for nobody else: lights, grain. */
  facts: string;
  /** Its step map, a PNG of which the grey value is the tone, in base64 (RFC 4648). */
  map: string;
  /** Which plate of the family it is, where it is one. */
  of?: string;
}

export interface DrawingInfo {
  name: string;
  format: string;
  width: number;
  height: number;
  bits: 8 | 16;
  /** EXIF orientation 1–8, already applied once. */
  orientation: number;
  /** Pixels a millimetre by the file's own density, where it says one. */
  px_per_mm: number | null;
  notes: string[];
}

export interface Tone {
  index: number; lightness: number; share: number;
  total_s: number; bite_s: number; set_s: number; shown_total_s: number;
  range_s: [number, number] | null;
  /** sRGB the tone prints as on the strip's paper, "#rrggbb". */
  colour: string;
  /* only on the page: */
  /** Total that bites: the clock's, with lag and drag-out of the dips so far. */
  effective_s: number;
  /** What the rounded total does to the tone, L*: above zero it prints lighter. */
  rounding_l: number;
  /** Its bite is shorter than three times the handling slack. */
  short: boolean;
}

export interface StopOut {
  number: number; covered_share: number; new_share: number; edge_cm: number; islands: number; paint_min: number;
}

/** plan.json of the headless example, and a little more for the page. */
export interface Plan {
  plate_mm: { width: number; height: number };
  face_mm: { width: number; height: number };
  px_per_mm: number;
  breaks: number[];
  tones: Tone[];
  stopouts: StopOut[];
  /** missing: there is none; every time is NaN then (null in JSON), readings and curve are empty. */
  strip: { id: string; kind: "measured" | "example" | "missing" };
  /** Whose strip the L* of the tones rest on; the example's while there is none. */
  lightness_from: "measured" | "example";
  notes: string[];
  /* only on the page: */
  raster: { width: number; height: number };
  /** The drawing's ends after placing, L*. */
  ends: { paper: number; black: number };
  strip_readings: [number, number][];
  /** One entry a reading: the time that bites, the grey it prints as, the curve's L* there (null past its end), and what is wrong with it. */
  strip_bands: { effective_s: number; colour: string; curve_l: number | null; said: "disagrees" | "over_bitten" | "reread" | "flat" | null }[];
  /** The curve for a chart, up to the darkest reading: [seconds that bite, L*]. */
  curve: [number, number][];
  /** Through the readings, or fitted between them because they do not fall. */
  curve_kind: "through" | "fitted";
  /** Longest total that may be planned, seconds that bite. */
  curve_limit_s: number;
  /** What the strip's readings and their curve say, in sentences. */
  verdict: string[];
  /** Share of the face that clean-up gave another tone, 0–1. */
  changed_share: number;
  /** Share of the face where a region still can't hold the mark, 0–1. */
  unpaintable_share: number;
  /** Share of the face where the hand set a tone and the region there can't hold the mark, 0–1. */
  narrow_share: number;
  /** Share of the face under a fixed resist, 0–1. */
  resist_share: number;
  /** Share of the face worked by hand, 0–1. */
  by_hand_share: number;
  /** Regions (4-connected pieces of one tone) in all. */
  regions: number;
  /** Sum of stop-outs' painting minutes. */
  paint_min: number;
  /** Pixels of the drawing a millimetre of the plate. */
  detail_px_per_mm: number;
  /** The used part of the drawing on the face: its corners (mm of the face, its own upper left first, clockwise), its size before it is turned, all the drawing's pixels, and pixels a millimetre at true size, where that is known. */
  placed: { corners_mm: [number, number][]; size_mm: [number, number]; drawing_px: [number, number]; true_px_per_mm: number | null };
  /** What straightening found; null for a file as it is. */
  photo: PhotoFacts | null;
  /** The printer's own pace, learned from logged stop-outs; null: minutes are an estimate. `factor` is taken over estimated. */
  pace: { factor: number; from: number[]; speed: HandSpeed } | null;
  bath: Bath;
  standing: Standing;
  joins: Joins;
  /** Milliseconds of the stages that were recomputed. */
  stage_ms: { [stage: string]: number };
}

export interface PhotoFacts {
  sheet_mm: [number, number];
  /** Whether that size was given. */
  sized: boolean;
  px_per_mm: number;
  /** The photograph's own, where they are fewest. */
  detail_px_per_mm: number;
  /** null: no bare paper is marked or proved. `fall`: lightest over darkest light; `spread_l`: L* within which bare paper keeps. */
  light: { margin: boolean; spots: number; fall: number; spread_l: number } | null;
  /** Left, top, right, bottom on the sheet. */
  zones: { kind: "burnt" | "lost" | "shadow"; box_mm: [number, number, number, number] }[];
  notes: string[];
}

/** A point of the face, mm from its top left corner, as the print reads. */
export type Xy = [number, number];

/** A piece of the face: the largest disc within it, a point deep inside, and the box around it (top left, bottom right). */
export interface Place { area_mm2: number; disc_mm: number; at: Xy; bounds: [Xy, Xy] }

/** The islands of a stop-out, the smallest first, at most 2000 of them; `count` counts all. */
export interface Islands { number: number; count: number; islands: Place[] }

/** What clean-up changed: those missed most first, at most 60 of each; `count` and `share` are of all. */
export interface Removed { highlights: RemovedList; darks: RemovedList }
/** `wide`: how many held a disc of half the mark. */
export interface RemovedList { count: number; wide: number; share: number; pieces: (Place & { was: number; now: number })[] }

/** What a brush can't do here. Lists have at most 60 of the largest or likeliest; counts are of all. */
export interface Limits {
  /** Thin dark lines, narrower than the mark. */
  lines: { count: number; length_mm: number; width_mm: number; share: number };
  /** Contours across a gentle slope, the longest first. */
  soft: { count: number; length_mm: number; passages: { lighter: number; darker: number; length_mm: number; points: Xy[] }[] };
  /** Regions narrower than `narrow_mm` between two painted edges; `expected` of them will close. stroke: one stroke of the brush; gap: left bare between two; rung: between a lighter and a darker tone. */
  bands: { narrow_mm: number; count: number; expected: number;
    places: { tone: number; kind: "stroke" | "gap" | "rung"; width_mm: number; length_mm: number; chance: number; at: Xy; bounds: [Xy, Xy] }[] };
  /** Places where a region does not hold the mark. */
  under: { mark_mm: number; count: number; share: number; places: { tone: number; area_mm2: number; across_mm: number; at: Xy }[] };
}

/** Where a printed strip lies in its picture, pixels of the upright picture. */
export type StripPlace =
  | { kind: "found" }
  /** Between two points on the middles of its short ends. */
  | { kind: "ends"; ends: [Xy, Xy] }
  /** Clockwise; `directed`: the first and the last are at the paper's end, else the core tells which end that is. */
  | { kind: "corners"; corners: [Xy, Xy, Xy, Xy]; directed: boolean };
/** How light the bare paper is, L*: measured, judged by eye, or told by a grey card at a point of the picture. */
export type StripPaper = { kind: "typed" | "by_eye"; lightness: number } | { kind: "card"; at: Xy; lightness: number };
/** A printed strip, read from a picture. */
export interface StripPhoto {
  corners: [Xy, Xy, Xy, Xy];
  /** From the paper's end on; `from` and `to` are shares of its length. `lightness` null: can't be told, and `doubt` says why. */
  bands: { from: number; to: number; outline: [Xy, Xy, Xy, Xy]; lightness: number | null; spread: number; excluded: number; doubt: string | null }[];
  /** L* of the bare paper beside it. */
  paper: number;
  /** Whether the first band is taken for the unbitten end; else the paper beside stands for 0 s. */
  unbitten: boolean;
  /** Lightest over darkest light along it. */
  fall: number;
  notes: string[];
}
/** A pulled proof, read tone by tone. */
export interface PulledReading {
  /** As they were used, moved to where the picture goes best with the plan, by up to so many mm. */
  corners: [Xy, Xy, Xy, Xy]; moved_mm: number;
  /** How well the picture goes with what lies within them, 0 to 1. */
  fit: number;
  /** Why nothing can be told; then nothing else is. */
  blind: string | null;
  /** Absolute L* of the dry print. `planned`: by the strip at the tone's own total; `target`: what the plan wanted; `fitted`: what the causes named come to. `sigma`: a standard deviation of the reading; `doubt`: why there is none. */
  tones: { tone: number; planned: number; target: number; read: number | null; fitted: number | null; spread: number; sigma: number; area_mm2: number; total_s: number | null; doubt: string | null }[];
  paper: number;
  /** Lightest over darkest light of the paper over the picture. */
  fall: number;
  /** null: fewer than five tones. */
  verdict: "as_planned" | "causes" | "either" | "unexplained" | null;
  /** wiping: a density; rate and ink: natural logarithms; 0 = as on the strip. `effect_l`: what it alone changes, `share` of all three, `probability` that it is at work. */
  effects: { cause: "wiping" | "rate" | "ink"; words: string; value: number; doubt: number; effect_l: number; share: number; probability: number }[];
  /** What it comes to; what to know. Sentences. */
  said: string[]; notes: string[];
  /** The reading as a strip made by covering between dips: [total seconds, L*], the paper first; or why it makes none. */
  strip: [number, number][] | null; strip_refused: string | null;
  /** What it holds of this proof's wiping and ink. */
  strip_words: string;
  /** What the pull on the page is, that such a reading can't hold for: other plates, inks, papers. null: nothing. */
  apart: string | null;
  face_mm: [number, number];
}
/** What is off target on the metal. Lists have at most 40 of the largest; counts and shares are of all. Places are mm from the left and the top of the face, PLATE VIEW. */
export interface PulledRepair {
  burnish: PulledPieces; regrain: PulledPieces;
  untold_share: number;
  /** What to know before the metal is touched, sentences. */
  notes: string[];
  /** null: nothing to grain again. */
  second: {
    strip: string; example: boolean;
    /** Tone 0 is all that is not bitten again. `lightness`: what it prints at on bare metal. Times null without a strip. */
    tones: { tone: number; lightness: number; share: number; total_s: number | null; set_s: number | null }[];
    paint_min: number; notes: string[];
  } | null;
}
/** Off by `mean_l` L* in the mean; nineteen in twenty parts by no more than `most_l`. */
export interface PulledPieces { count: number; share: number; mean_l: number | null; most_l: number | null; pieces: { at_mm: Xy; area_mm2: number }[] }
/** A place of the painted plate: mm of the face, plate view, x right, y down; `extent_mm` is left, top, right, foot. */
export interface PaintedPlace { words: string; place: string; at_mm: Xy; extent_mm: [number, number, number, number]; area_mm2: number }
/** A painted plate, looked over in a photograph. */
export interface PaintedCheck {
  stop_out: number;
  /** As they were used, of each photograph. */
  corners: [Xy, Xy, Xy, Xy][];
  /** Why nothing can be told, or null; then there are no pieces. */
  blind: string | null;
  /** What should be covered and is bare, or bare and is covered; the largest first. */
  pieces: (PaintedPlace & { wrong: "missed" | "over_run" })[];
  /** What can't be told, and why; the largest first. */
  untold: PaintedPlace[];
  /** Shares of the face: judged, too near an edge or left to the hand, not to be told. */
  judged_share: number;
  edge_share: number;
  untold_share: number;
  allowed_mm: number;
  face_mm: Xy;
  notes: string[];
}
/** What was read off a band: absolute L*, absolute density, reflectance 0–1 or in %. */
export type Quantity = "lightness" | "density" | "reflectance" | "percent";
/** One band as typed; the paper is the first. */
export interface TypedRow { time: string; value: string }
/** One possible reading of typed times. */
export interface Meaning { unit: "seconds" | "minutes" | "minutes_and_seconds"; lists: "totals" | "dips"; longest_s: number; totals_s: number[] }
/** What so many tones are worth. Worked out on a smaller picture of the face; what is set by hand and a fixed resist are left out. */
export interface Worth {
  tones: number;
  /** The rule its breaks are by: those set by hand belong to their own count of tones, others are fitted beside them. */
  breaks: "even" | "fitted" | "hand";
  /** L* between the drawing, laid on the print's range, and the print, both melted in light by 0.7 mm: root mean square over the face. */
  error_l: number;
  edge_cm: number; islands: number; paint_min: number;
  /** L* between the two nearest neighbours, and how many pairs are to be expected to fuse. */
  closest_l: number; fusing: number;
  /** The last tone's total as the clock is set, and the shortest bite; `gamble`: too short for a hand. */
  bath_s: number; shortest: { bite: number; seconds: number; gamble: boolean };
  /** Drying and rinsing, all bites, of what is given; `missing` names what is not. */
  bench_min: number; missing: string | null;
  /** All that is counted. */
  minutes: number;
  /** From one tone fewer: shares of the face that print visibly otherwise, nearer to the drawing, farther from it; and what that is worth in a sentence, added or left out. null for two tones. */
  step: { changed: number; nearer: number; farther: number; added: string; dropped: string } | null;
  /** Something set by hand, or a resist, is left out. */
  left_out: boolean;
  /** The plate is so large that the mark is a pixel or two in the smaller picture: edge and minutes come out too high. */
  rough: boolean;
}

/** Minutes from the first day's midnight: the second day's begin at 1440. Stretches follow one another; only drying leaves the hands free. */
export interface DayPlan {
  /** `number` is the stop-out, or the last bite of a dip; `from` its first. */
  stretches: { kind: "paint" | "dry" | "bite" | "rinse"; number: number; from: number; day: number; from_min: number; to_min: number; hands: boolean }[];
  /** Nights: after the rinse of bite `after`, or while the next stop-out dries. */
  pauses: { after: number; drying: boolean; from_min: number; to_min: number; said: string }[];
  /** All work without the nights, and of it what the hands are busy with. */
  minutes: number; busy_min: number;
  notes: string[];
}

/**
 * The day of several plates. Minutes from the first day's midnight. `number` is the stop-out, or the first bite of a dip; `to` its last. Plates of one
 * dip have a bite each with one beginning.
 */
export interface FamilyDayPlan {
  stretches: { kind: "paint" | "dry" | "bite" | "rinse"; plate: number; number: number; to: number; from_min: number; to_min: number }[];
  /** Nights: after bite `after`; plates with the stop-outs that dry meanwhile. */
  nights: { after: number; drying: [number, number][]; from_min: number; to_min: number; said: string }[];
  /** Working minutes, of them hands busy, what no order gets under, and how far that is below, 0 to 1. */
  minutes: number; busy_min: number; bound_min: number; gap: number;
  /** Dips that a plate goes into beside another. */
  shared: number;
  /** How old the bath is for each plate, in the mean, as a share of all that is bitten in it; null: it is not bitten. */
  ages: (number | null)[];
  /** Where the first day may end, and by how much a hand's slack moves a tone after that, L*. */
  breaks: { after: number; by_l: number }[];
  notes: string[];
}

/** What a bite does that is `seconds` too long (negative: too short). Times exact, `set_s` what to set on the clock. */
export interface WhatIf {
  /** The last bite of a dip, and the first: bites of tones that the plate lacks join. */
  bite: number; from: number;
  /** As asked, and as reckoned: no bite is shorter than nothing. */
  asked_s: number; seconds: number;
  /** The bite as planned, what the clock was to be set to, and the fall of the curve where it was to end, L* a second. */
  planned_s: number; planned_set_s: number; slope: number;
  /** `past_end`: longer than the strip's last usable band, where nothing is known; `prints_l` is then that band's. */
  tones: { tone: number; covered: boolean; planned_l: number; prints_l: number; by_l: number; past_end: boolean }[];
  /** The next bite so that later tones come exactly back; `fits`: a hand can do it. null after the last. */
  next: { from: number; bite: number; planned_s: number; left_s: number; set_s: number; gap_l: number; fits: boolean } | null;
  /** Later bites dropped, targets kept; and the tones left spaced evenly. null where it is no way. */
  dropped: WayOn | null;
  respaced: WayOn | null;
}
/** Tones by their numbers in the plan; `joined` print as the tone that was off; `widest` is the widest gap left, and between which. */
export interface WayOn {
  rungs: { tone: number; prints_l: number; total_s: number; shown_total_s: number; bite_s: number; set_s: number }[];
  joined: number[]; widest: [number, number, number]; narrowest_l: number | null;
}

export type View = "print" | "plate";

export type PictureSpec =
  /** The file as opened, in colour: `part` of it (left, top, right, bottom in its pixels), or all. It has no view. */
  | { kind: "source"; part: [number, number, number, number] | null; width: number; height: number }
  /** The photograph straightened, in grey, before it is placed. It has no view. */
  | { kind: "straight"; width: number; height: number }
  /** The placed drawing. */
  | { kind: "drawing"; view: View; width: number; height: number }
  /** The step map in the tones' print colours, no grain. */
  | { kind: "tones"; view: View; width: number; height: number }
  /** One tone picked out, the rest pale. */
  | { kind: "tone"; tone: number; view: View; width: number; height: number }
  /** Stop-out `number`: varnish brown + dots = covered before, hatch = paint now, white = leave bare. */
  | { kind: "stopout"; number: number; view: View; width: number; height: number }
  /** The lift drawing: crossed = opens and bites, ruled = ground stays on. Only where a resist is fixed. */
  | { kind: "lift"; view: View; width: number; height: number }
  /** Where the metal can't give what the plan wants, over the paled tones: lighter in verdigris, darker in brown, hatched either way. */
  | { kind: "repair"; view: View; width: number; height: number }
  /** What clean-up changed, over the paled tones: lost lights in verdigris, lost darks in brown. */
  | { kind: "removed"; view: View; width: number; height: number }
  /** The thin dark lines in ink, over the drawing without them. */
  | { kind: "lines"; view: View; width: number; height: number }
  /** The expected print of the whole face. `grain` false: mean tones only, quick. */
  | { kind: "proof"; view: View; width: number; height: number; grain: boolean; proof: ProofSettings }
  /** A window of the print through the glass: `px_per_mm` device pixels a millimetre of plate, centred on a point of the face (mm, print view). */
  | { kind: "glass"; view: View; width: number; height: number; px_per_mm: number; centre_mm: [number, number]; proof: ProofSettings }
  /** The drawing as it would look printed without loss: its light between the print's paper and darkest tone, to lay beside the proof. */
  | { kind: "wanted"; view: View; width: number; height: number; proof: ProofSettings }
  /** How far proof and drawing lie apart (CIEDE2000, grain averaged), as a map from paper to ink, hatched where over 6. */
  | { kind: "difference"; view: View; width: number; height: number; proof: ProofSettings }
  /** Where a hand's edges may come out lighter (dots) or darker (hatch) than planned. */
  | { kind: "chance"; view: View; width: number; height: number; edges: EdgeChoice }
  /** The step map of a plate of the family in its tones' print colours; `plate` null: the one at hand. */
  | { kind: "member"; plate: string | null; view: View; width: number; height: number }
  /** The whole row as one print: each plate as the proof prints it, with bevels and gaps, on a little of the sheet; at most `width` × `height`. Print view. */
  | { kind: "row_print"; width: number; height: number; print: { row: RowSpec; gap_mm: number; gap_down_mm: number; proof: ProofSettings } }
  /** Where two plates meet in the print, with bevels and gap: exactly `width` × `height` pixels, the gap in the middle. Print view. */
  | { kind: "seam"; width: number; height: number; seam: { row: RowSpec; place: number; down: boolean; gap_mm: number; px_per_mm: number } };

/** Pixels: the picture has the face's proportions, is at most `width` × `height`, RGBA bytes row by row. */
export interface Picture { width: number; height: number; rgba: Uint8ClampedArray; ms: number }

/** A corner of the plate, plate view. */
export type Corner = "top_left" | "top_right" | "foot_right" | "foot_left";

/** A kind of sheet, in the order of the bench. */
export type SheetKind = "cover" | "strip_plan" | "frame" | "lines" | "lift" | "key" | "stop_outs" | "run" | "together" | "look" | "repair"
  | "zones" | "bed" | "registration" | "cutting" | "laying" | "touches" | "record" | "pulls";

export interface SheetSettings {
  paper: "a4" | "a3" | "letter" | "tabloid";
  transfer: "trace" | "press";
  title: string;
  letter: string;
  /** Printed as given; the page knows the date, the core has no clock. */
  date: string;
  /** The kinds that print. */
  kinds: SheetKind[];
  /** Stop-outs with hatch and dots, or edges alone for tracing. */
  style: "full" | "outline";
  /** How far the edges of new paint are drawn inside their true line, mm, 0–0.5. */
  inward_mm: number;
  /** A flap to hinge the sheets by. */
  hinge: boolean;
  /** The corner that is cut off, as the plate lies face up with its top away from you; left out: the top right one. */
  notch?: Corner;
  /** The family's row on the press bed; left out or null: no bed diagram and no registration template. */
  bed?: BedSpec | null;
  /** What the 100 mm bars measure along the paper's short and long side; null: not measured. Refused beyond 3 %. */
  bars_mm: [number, number] | null;
  /** What prints as the record of the pulls, and as touches: those of the plate at hand alone. null or missing: nothing. */
  record?: PullRecord | null;
  /** All plates of the family and their hours, for the run sheet of all plates; null: one plate. */
  together?: Calls["family_day"][0] | null;
  /** The proof whose zones of ink print. null or missing: none. */
  zones_of?: ProofSettings | null;
  /** The papers to cut and lay. */
  papers?: Papers | null;
}

/**
 * Which sheets there are: every page, whether the plate fits one page at true size, and what the printer should know. Pages of one `group` are drawn together;
 * `view` is which way round a page shows the plate, in its own words ("PLATE VIEW, mirrored"), null for words alone. `contents` is the sentence that the cover
 * prints too; where no page is left it says so. `bars` is what measured bars do, null where none were measured.
 */
export interface SheetFacts {
  pages: number;
  fits: boolean;
  notes: string[];
  contents: string;
  bars: string | null;
  entries: { kind: SheetKind; name: string; group: number; view: string | null }[];
}

/** What the strip tells of the metal. `told`: the strip narrows it to less than half of what was guessed before; else an estimate. */
export interface ReliefFacts {
  rows: { name: string; value: number; unit: string; spread: number; told: boolean }[];
  /** How far the model by itself lies from the strip's readings, L*, root mean square; the curve rules the tones all the same. */
  misfit: number;
  /** The grain as shown. */
  median_um: number; cover: number; remarks: string[];
}
/** Mean CIEDE2000 between proof and drawing over the face, the share of it over 6, and the tone that is farthest off on average. */
export interface Difference { mean: number; most: number; over_six: number; worst_tone: number; worst_mean: number; /** What counts in beside the tones, and what is left out; sentences. */ said: string[] }
/** Colours of two plates' tones over one another; `share` of the face where they meet, `other` where the order is turned round. */
export interface Pairs {
  first: string; second: string;
  rows: { first: number; second: number; colour: Hex; other: Hex; share: number }[];
}
export interface InkFacts {
  /** By place in `inks`: opacity told (null: it makes no ink, `remark` says why), and how far the pale patch is off what one ink makes (CIEDE2000; null: no pale patch). */
  inks: {
    opacity: number | null; misfit: number | null; remark: string | null;
    /** Its patches are kept as another plan printed them. */
    earlier: boolean;
  }[];
  /** By place in `laid`: what its patches don't agree in, or why they tell no paper. */
  laid: (string | null)[];
  /** What holds no disc of 15 mm, in words; the order to ink, light to dark: of each ink its zones by place in `zones` (-1: the ground ink); minutes. */
  zones: { remarks: string[]; order: number[][]; minutes: number };
  /** Fine detail narrower than the misfit, in words. */
  remarks: string[];
}

/** One plate as it is written into a project file, and as it was read. */
export interface ProjectPlate { file: Blob; project: string; kept: Uint8Array | null }
export interface ProjectRead { project: Project; drawing: Blob; kept: Uint8Array | null }

/** Every call of the worker: name → [arguments, result]. */
export interface Calls {
  /** A picture file, read by the worker part by part: only the WebAssembly holds it whole. On error the drawing before stays. */
  open: [{ file: Blob; name: string }, DrawingInfo];
  /** Brings every stage up to bites up to date; only what the change made stale is recomputed. On error the plan before stays. */
  plan: [Settings & { done?: Done }, Plan];
  picture: [PictureSpec, Picture];
  /** The corners of a photographed sheet, and its width over height by the perspective (0: can't be told). Refused where they can't be told. */
  find_corners: [null, { corners: [[number, number], [number, number], [number, number], [number, number]]; proportion: number }];
  /** The picture of a printed strip, kept beside the drawing, which it does not touch. */
  strip_photo_open: [{ file: Blob; name: string }, { width: number; height: number; notes: string[] }];
  /** That picture, or a part of it (left, top, right, bottom in its pixels). */
  strip_photo_picture: [{ part: [number, number, number, number] | null; width: number; height: number }, Picture];
  /** Reads the strip; `bands` are shares of its length as edited, or null to look for them. */
  strip_photo_read: [{ place: StripPlace; bands: [number, number][] | null; paper: StripPaper }, StripPhoto];
  /** A photograph of a pulled proof, kept beside the drawing; what was read before goes. */
  pulled_open: [{ file: Blob; name: string }, { width: number; height: number; notes: string[] }];
  /** `corners` of the printed picture (the face, within its bevel), upper left first, clockwise as it is read; null: looked for. */
  pulled_read: [{ corners: [Xy, Xy, Xy, Xy] | null; paper: { kind: "as_strip" } | { kind: "typed" | "by_eye"; lightness: number }; strip_name: string; proof: ProofSettings }, PulledReading];
  /** The photograph (or a part of it, pixels: left, top, right, foot), its straightened face, what is too dark, what is too light, or the second plan's tones. `view` is of all but the photograph. */
  pulled_picture: [{ show: "photo" | "face" | "burnish" | "regrain" | "second"; view: View; part: [number, number, number, number] | null; width: number; height: number }, Picture];
  /** `tolerance_l` 1 to 30 L*, `mark_mm` 0.3 to 5, `tones` 2 to 6 with the one that is not bitten again; `metal_alone`: what wiping and ink explain is taken off first. */
  pulled_repair: [{ tolerance_l: number; mark_mm: number; tones: number; metal_alone: boolean; strip: "plan" | "proof"; strip_name: string }, PulledRepair];
  /** PDF of the repair planned last, titled REPAIR. */
  pulled_sheets: [SheetSettings, Uint8Array];
  /** A photograph of the painted plate, the first or a second one with the lamp moved, kept beside the drawing. */
  painted_open: [{ file: Blob; name: string; second: boolean }, { width: number; height: number; notes: string[] }];
  /** Looks the plate over, held to one stop-out; corners of each photograph (plate view, upper left first, clockwise) or null to look for them. */
  painted_check: [{ stop_out: number; corners: ([Xy, Xy, Xy, Xy] | null)[]; creep_mm: number }, PaintedCheck];
  /** A photograph, or a part of it; or the straightened face with what was found over it, plate view. */
  painted_picture: [{ photo: number; face: boolean; part: [number, number, number, number] | null; width: number; height: number }, Picture];
  islands: [{ number: number }, Islands];
  removed: [null, Removed];
  limits: [null, Limits];
  /** Every meaning that typed times may have, and the L* that was read. Refused in a sentence that names the row. */
  strip_typed: [{ rows: TypedRow[]; quantity: Quantity }, { meanings: Meaning[]; lightness: number[] }];
  /** Pasted text cut into rows; what its header says, where it says it. */
  strip_pasted: [{ text: string }, { rows: TypedRow[]; quantity: Quantity | null; lists: Meaning["lists"] | null; notes: string[] }];
  /** One count of tones a call; kept until face, mark, strip or the rule for breaks change. */
  worth: [{ tones: number }, Worth];
  /** A small picture of the print at that count, mean tones, print view. */
  worth_picture: [{ tones: number; width: number; height: number }, Picture];
  what_if: [{ bite: number; seconds: number }, WhatIf];
  /** The map as it is now. Asked for when a stop-out is ticked, BEFORE its entry is added; then entry and map go into `done` together. Also whenever `standing.to_keep`. */
  freeze: [null, Kept];
  /** What is still to come of this plate in the printer's own hours (minutes from midnight); drying and rinsing are those of `settings.bench`. */
  family_day: [{ start_min: number; day: FamilyDay; plates: { letter: string; size_mm: [number, number]; undecided?: boolean; dips: { from: number; to: number; set_s: number; paint_min: number | null; dried_min?: number | null }[] }[] }, FamilyDayPlan];
  /** `dried_min`: minutes that the stop-out painted last has dried by `start_min`; null: not known. */
  day_plan: [{ start_min: number; from_min: number; to_min: number; dry_overnight: boolean; dried_min?: number | null }, DayPlan];
  sheets: [SheetSettings, Uint8Array];
  /** The sheet of the strip to bite, alone. */
  strip_sheet: [SheetSettings, Uint8Array];
  /** Which sheets there are, without drawing them. */
  sheet_facts: [SheetSettings, SheetFacts];
  /** The page `index` (0 is the first) and those that are drawn with it, each as SVG: the marks that go to the PDF. `from` is the first of them. */
  sheet_preview: [{ sheets: SheetSettings; index: number }, { from: number; pages: string[] }];
  relief: [GrainChoice, ReliefFacts];
  difference: [{ proof: ProofSettings }, Difference];
  ink_facts: [{ proof: ProofSettings }, InkFacts];
  /** What is said of a record; its photographs' bytes may be left out. `letter`: whose wear. */
  record_facts: [{ record: PullRecord; letter: string }, RecordFacts];
  /** How the patches of each ink are printed by the plan at hand, by place in `inks`; null where the plan has not such a tone. */
  ink_prints: [{ proof: ProofSettings }, (InkPrinted | null)[]];
  /** What there is to say of papers under the ink. */
  papers: [Papers, PapersFacts];
  /** Pieces of paper off the regions of some tones, the largest first; `small`: regions left out as too small to cut. */
  papers_taken: [{ tones: number[]; least_mm2: number }, { outlines: Xy[][]; small: number }];
  /** Two of the printings, by place. */
  pairs: [{ proof: ProofSettings; first: number; second: number }, Pairs];
  /** Another plate's saved project, worked out to how it prints; it stays with the worker until dropped. */
  plate_read: [{ file: Blob }, BroughtPlate];
  /** What a drawing's file says, without opening it in place of the one at hand. */
  kin_info: [{ file: Blob; name: string }, DrawingInfo];
  /** Plans another plate of the family beside the one at hand, which stays as it is; its map stays with the worker until its plate is dropped. */
  kin_plan: [{ file: Blob; settings: Settings & { done?: Done }; id: string; letter: string; title: string; grain: GrainChoice }, KinFacts];
  /** Plates side by side. */
  rows_joints: [RowSpec, RowJoints];
  rows_find: [{ row: RowSpec; turns: boolean; pins: { place: number | null; turned: boolean | null }[]; most: number }, RowsFound];
  row_raised: [{ row: RowSpec; place: number; by_mm: number }, RowRaised];
  row_bed: [BedSpec, BedFacts];
  /** Gives the worker a plate that the page kept. */
  plate_bring: [BroughtPlate, null];
  plate_drop: [{ id: string }, null];
  /** PNG of the step map (grey value = tone index), or of one stop-out's mask (0 covered, 255 bare). */
  png: [{ kind: "steps" } | { kind: "stopout"; number: number }, Uint8Array];
  /** The print, whole, with its grain, and with what it rests on written in (tEXt); at the step map's raster where `px_per_mm` is null. */
  proof_png: [{ proof: ProofSettings; px_per_mm: number | null; head?: { title: string; letter: string; date: string } }, Blob];
  /** steps.png, stopout-NN.png in one ZIP. */
  masks: [null, Uint8Array];
  /**
   * One ZIP: sheets.pdf, stopouts.svg (print view), steps.png, masks/stopout-NN.png, masks/lift.png and masks/by-hand.png where there are such,
   * plan.csv, plan.json, pulls.csv and pulls/pull-NN.jpg where pulls are written down, read-me.txt. Progress stages "sheets" and "files", the share being that of the whole. After a STOP no file in it holds a time.
   */
  everything: [SheetSettings, Uint8Array];
  plan_json: [null, string];
  /** The project file: a ZIP with project.json, the drawing's own bytes, the kept map, and the family's other plates. `project` is a `Project` as JSON; files are gone through part by part and never held. */
  project_write: [ProjectPlate & { family: ProjectPlate[] }, Blob];
  /** Reads a project file of this or an earlier version, or refuses it in a sentence; the drawing and plan at hand stay. */
  project_read: [{ file: Blob }, ProjectRead & { family: ProjectRead[] }];
  /** Bytes of memory the planning has taken at its peak. */
  memory: [null, number];
}

/** Messages between page and worker. `progress.share` is 0–1. */
export type ToWorker = { id: number; call: keyof Calls; args: unknown } | { start: { glue?: string; wasm?: ArrayBuffer } };
export type FromWorker =
  | { ready: true } | { failed: string }
  | { id: number; ok: unknown }
  | { id: number; error: { code: string; message: string } }
  | { id: number; progress: { stage: string; share: number } };
