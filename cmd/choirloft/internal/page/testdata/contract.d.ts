// What the program answers, from its Go types: made by TestTypes, do not edit.
export interface Answers {
  alter: Desk;
  axis: AxisAnswer;
  bench: BenchFace;
  compare: CompareAnswer;
  desk: Desk;
  disk: Disk;
  fixes: Step;
  keep: Kept;
  loss: Told;
  map: MapAnswer;
  open: Desk;
  outage: OutageAnswer;
  picture: Picture;
  played: Played;
  plug: Plug;
  readings: Measured;
  recording: Played;
  reload: Desk;
  remove: Desk;
  repatch: RepatchAnswer;
  rig: Desk;
  save: Desk;
  set: SetAnswer;
  settle: Desk;
  setups: SetUpsAnswer;
  sheets: Sheets;
  shown: Shown;
  size: SizeAnswer;
  song: Added;
  take: TakeAnswer;
  took: Measured;
  unison: UnisonAnswer;
}

export interface Desk {
  file: string;
  name: string;
  fingerprint: string;
  text: string;
  new: boolean;
  saved: boolean;
  save_as: string;
  rigs?: Array<string>;
  state: string;
  measure: string;
  faults: Array<Located>;
  songs: Array<Song>;
  rules: Array<Rule>;
  words: Record<string, string>;
  files: Array<File>;
  edition: number;
  strayed: boolean;
  in_service: number;
}

export interface AxisAnswer {
  axis: Sizes;
}

export interface BenchFace {
  sentence: string;
  hint: string;
  channels: Array<ChannelFace>;
  parts: Array<PartFace>;
  banks: Array<PlaysOn>;
  interfaces: Array<BoxFace>;
  profiles: Array<ChoiceFace>;
  kinds: Array<ChoiceFace>;
  modes: Array<ChoiceFace>;
  more: BankMore;
}

export interface CompareAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  advice: Array<string>;
  worst: SizeSpread;
  median: Enough;
  heard_none: SizeByEar | null;
  heard_none_known: SizeByEarKnown | null;
  songs: Array<SizeResult>;
  most_first: Array<number>;
  worst_first: Array<number>;
  set?: SetFixes;
  failed: Array<Failure>;
  findings: Array<Finding>;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface Disk {
  text: string;
  lines: Array<Differ>;
}

export interface Step {
  what?: string;
  done: number;
  all: number;
  size?: Size;
  doc?: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
  ways?: Array<Way>;
}

export interface Kept {
  desk: Desk;
  flags: Array<string>;
  set: Array<Override>;
  says: string;
}

export interface Told {
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface MapAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  middle_c: number;
  interfaces: Array<Interface>;
  banks: Array<MapBank>;
  voices: Array<MapVoice>;
  lanes: Array<MapLane>;
  macros: Array<MapLane>;
  paths: Array<Path>;
  cables: Array<Cable>;
  set_ups: Array<string>;
  set_up_cables: Array<Cable>;
  cables_to_buy: Array<CableLot>;
  colours_to_buy: Array<CableShade>;
  multiples_to_buy: Array<MultipleLot>;
  spare: Spare;
  revision: Revision | null;
  gate_or_banks: Array<string>;
  unisons: Array<Unison>;
  missing: Array<string>;
  steps: Array<ContractStep>;
  growth: Growth | null;
  rests_on: PitchBasis | null;
  findings: Array<Finding>;
  bought: Purchase | null;
  faces: Array<BankFace>;
  states: Array<State>;
  now: Set;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface OutageAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  middle_c: number;
  out: string;
  stand_in: string | null;
  for: string | null;
  asks: boolean;
  cables: Array<OutageCable>;
  map: Array<MapVoice>;
  map_before: Array<MapVoice>;
  parts: Array<OutagePart>;
  new_findings: Array<Finding>;
  songs: Array<OutageSong>;
  failed: Array<Failure>;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface Picture {
  unit_s: number;
  in_service: number;
  wants: Wants;
  chosen: Chosen;
  columns: Array<Column>;
  listening: string;
  seconds: number;
  has_bars: boolean;
  voices: Array<LaneVoice>;
  parts: Array<string>;
  keys: Record<string, string>;
  most_heard: import("../assets/doc.js").Doc;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface Played {
  id: string;
  name: string;
  says: string;
}

export interface Plug {
  rig: string;
  plan: string;
  caution: string;
  cautions: Array<string>;
  kept: string;
  keys: Array<string>;
  cables: Array<PlugCable>;
  set_ups: Array<PlugSetUp>;
  changes: Array<PlugChange>;
  carried: Carried | null;
}

export interface Measured {
  tune?: Tune;
  took?: Took;
  writes: boolean;
  desk?: Desk;
  command: string;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface RepatchAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  from: string;
  to: string;
  moves: number;
  pulls: Array<RepatchCable>;
  switches: Array<Switch>;
  plugs: Array<RepatchCable>;
  stay: number;
  rests: Array<Rest>;
  breaks: Array<string>;
  closes: Array<string>;
  silent: Array<string>;
  needs: Needs;
  multiple_outs: Array<number>;
  fetched_outs: Array<number>;
  gate_or_banks: Array<string>;
  ways: Array<ContractWay>;
  findings: Array<Finding>;
  middle_c: number;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface SetAnswer {
  set: Array<Override>;
}

export interface SetUpsAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  set_ups: Array<SetUp>;
  song: ContractSong | null;
  ways: Array<PageSetUp>;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface Sheets {
  pages: Array<string>;
}

export interface Shown {
  unit_s: number;
  in_service: number;
  wants: Wants;
  chosen: Chosen;
  columns: Array<Column>;
  listening: string;
}

export interface SizeAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  song: ContractSong;
  summary: string;
  advice: Array<string>;
  voices: number;
  bank_size: number;
  rules: string;
  own_rules: RulesName | null;
  demand: Demand;
  enough: Enough;
  unmapped: number;
  unmapped_from: Array<string>;
  unmapped_keys: Array<UnmappedKeys>;
  wrong_pitch: Array<WrongPitch>;
  mono_chords: Array<MonoChords>;
  voices_without_jack: Array<string>;
  old_readings: Array<string>;
  rests_on: Basis;
  now_left: Changed | null;
  middle_c: number;
  now: Cost;
  now_heard: HeardFigures | null;
  runs_out?: RunsOut;
  parts: Array<PartVoices>;
  fewest_damaged: number;
  enough_by_rule: Array<RulesFrom>;
  enough_by_own: OwnFrom;
  too_few: number;
  curve: Array<SizePoint>;
  shown_rules: Array<number>;
  short: Array<Shortage>;
  short_of_tails_only: boolean;
  short_bars: Array<ShortBar>;
  fixes: Array<Fix>;
  makes_worse: Array<Fix>;
  fixes_tried: number;
  settings?: Settings;
  buying?: Buying;
  pairs_tried: number;
  pairs_in_all: number;
  covered: Array<Coverage>;
  hearing?: Hearing;
  sensitivity?: Array<Variation>;
  drill?: Array<Absence>;
  by_part?: Array<PartSize>;
  by_part_apart?: Enough;
  racks?: Array<RackSize>;
  findings: Array<Finding>;
  axis: Sizes;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface Added {
  id: string;
  name: string;
  proposes?: string;
  unproposed?: string;
  lines?: Array<string>;
}

export interface TakeAnswer {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  files: Array<string>;
  cv_caution: string | null;
  seconds: number;
  through: string;
  voices: Array<TakenVoice>;
  left: Array<string>;
  rig_file: string;
  middle_c: number;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface UnisonAnswer {
  part: string;
  set: UnisonSetting;
  rig: UnisonSetting;
  most: number;
  says: string;
  parts: Array<string>;
  laws: Array<Choice>;
  keys: Array<string>;
  top: Array<Override>;
  doc: import("../assets/doc.js").Doc;
  figures?: Record<string, string>;
}

export interface Located {
  line: number;
  column: number;
  file: string;
  path: string;
  message: string;
  hint: string;
  text: string;
}

export interface Song {
  id: string;
  name: string;
}

export interface Rule {
  key: string;
  about: string;
  choices: Array<Choice>;
}

export interface File {
  kind: string;
  text: string;
  song: boolean;
}

export interface Sizes {
  label: string;
  dark: string;
  grey: string;
  legend: string;
  bars: Array<Bar>;
  marks: Array<SizeMark>;
}

export interface ChannelFace {
  label: string;
  about: string;
  heard: string;
  port: number;
  channel: number;
  zone: string;
  name: string;
  drums: boolean;
  parts: Array<string>;
}

export interface PartFace {
  listens: string;
  on: string;
  how: string;
  says: string;
  short: boolean;
  mono: string;
  wrong: string;
  name: string;
  sources: Array<BenchSource>;
  zone: string;
  banks: Array<string>;
  all_banks: boolean;
  wanted: number | null;
  there: number;
  notes: number | null;
  mode: string;
  unison: number;
  transpose: number;
  fixes: Array<FixFace>;
}

export interface PlaysOn {
  name: string;
  voices: number;
  kind: string;
  parts: Array<string>;
}

export interface BoxFace {
  about: string;
  wrong: string;
  name: string;
  profile: string;
  fixes: Array<FixFace>;
  ranges: Array<ReachFace>;
  zero_keys: Array<ReachFace>;
}

export interface ChoiceFace {
  name: string;
  about: string;
}

export interface BankMore {
  voices: number;
  label: string;
}

export interface SizeSpread {
  held: SizeMost;
  pedal: SizeMost;
  audible: SizeMost;
}

export interface Enough {
  held: number;
  pedal: number;
  audible: number;
}

export interface SizeByEar {
  median: number;
  worst: SizeMost;
}

export interface SizeByEarKnown {
  median: number;
  worst: SizeMost;
  known: number;
  of: number;
}

export interface SizeResult {
  song: ContractSong;
  summary: string;
  advice: Array<string>;
  voices: number;
  bank_size: number;
  rules: string;
  own_rules: RulesName | null;
  demand: Demand;
  enough: Enough;
  unmapped: number;
  unmapped_from: Array<string>;
  unmapped_keys: Array<UnmappedKeys>;
  wrong_pitch: Array<WrongPitch>;
  mono_chords: Array<MonoChords>;
  voices_without_jack: Array<string>;
  old_readings: Array<string>;
  rests_on: Basis;
  now_left: Changed | null;
  middle_c: number;
  now: Cost;
  now_heard: HeardFigures | null;
  runs_out?: RunsOut;
  parts: Array<PartVoices>;
  fewest_damaged: number;
  enough_by_rule: Array<RulesFrom>;
  enough_by_own: OwnFrom;
  too_few: number;
  curve: Array<SizePoint>;
  shown_rules: Array<number>;
  short: Array<Shortage>;
  short_of_tails_only: boolean;
  short_bars: Array<ShortBar>;
  fixes: Array<Fix>;
  makes_worse: Array<Fix>;
  fixes_tried: number;
  settings?: Settings;
  buying?: Buying;
  pairs_tried: number;
  pairs_in_all: number;
  covered: Array<Coverage>;
  hearing?: Hearing;
  sensitivity?: Array<Variation>;
  drill?: Array<Absence>;
  by_part?: Array<PartSize>;
  by_part_apart?: Enough;
  racks?: Array<RackSize>;
}

export interface SetFixes {
  now: SetLeft;
  fixes: Array<SetFix>;
  settings: Settings | null;
}

export interface Failure {
  file: string;
  message: string;
}

export interface Finding {
  code: string;
  severity: string;
  where: string;
  at: string | null;
  text: string;
  value: number | null;
  unit: string | null;
  assumed: boolean;
  hint: string | null;
  facts: Array<Fact>;
}

export interface Differ {
  sign: string;
  line: string;
}

export interface Size {
  version: number;
  rig: string;
  fingerprint: string;
  song: ContractSong;
  summary: string;
  advice: Array<string>;
  voices: number;
  bank_size: number;
  rules: string;
  own_rules: RulesName | null;
  demand: Demand;
  enough: Enough;
  unmapped: number;
  unmapped_from: Array<string>;
  unmapped_keys: Array<UnmappedKeys>;
  wrong_pitch: Array<WrongPitch>;
  mono_chords: Array<MonoChords>;
  voices_without_jack: Array<string>;
  old_readings: Array<string>;
  rests_on: Basis;
  now_left: Changed | null;
  middle_c: number;
  now: Cost;
  now_heard: HeardFigures | null;
  runs_out?: RunsOut;
  parts: Array<PartVoices>;
  fewest_damaged: number;
  enough_by_rule: Array<RulesFrom>;
  enough_by_own: OwnFrom;
  too_few: number;
  curve: Array<SizePoint>;
  shown_rules: Array<number>;
  short: Array<Shortage>;
  short_of_tails_only: boolean;
  short_bars: Array<ShortBar>;
  fixes: Array<Fix>;
  makes_worse: Array<Fix>;
  fixes_tried: number;
  settings?: Settings;
  buying?: Buying;
  pairs_tried: number;
  pairs_in_all: number;
  covered: Array<Coverage>;
  hearing?: Hearing;
  sensitivity?: Array<Variation>;
  drill?: Array<Absence>;
  by_part?: Array<PartSize>;
  by_part_apart?: Enough;
  racks?: Array<RackSize>;
  findings: Array<Finding>;
}

export interface Way {
  try: boolean;
  write: boolean;
  why: string;
}

export interface Override {
  kind: string;
  part: string;
  value: string;
}

export interface Interface {
  name: string;
  profile: string | null;
  cv: number;
  gates: number;
  outputs: number;
  per_connector: number;
  low_v: number;
  high_v: number;
  volts_per_octave: number | null;
  zero_key: number | null;
  reference_hz: number | null;
  reference_v: number | null;
  range_source: string;
  zero_key_source: string;
}

export interface MapBank {
  name: string;
  colour: string;
}

export interface MapVoice {
  voice: number;
  name: string;
  bank: string;
  position: number;
  state: string;
  low_key: number;
  high_key: number;
  stands_in_for: string | null;
  pitch: Jack | null;
  gate: Jack | null;
  lanes: Array<MapLane>;
  part: string | null;
  unison: Stack | null;
  detune_cents: number | null;
  pan: number | null;
  seats: Array<Seat>;
  zero_key: number | null;
  volts_at: unknown;
  budget: Budget | null;
}

export interface MapLane {
  name: string;
  input: string | null;
  bank: string | null;
  to: Array<string>;
  jack: number;
  kind: string;
  connector: number;
  place: number;
  interface: string;
  port: number | null;
  channel: number | null;
  message: string | null;
  pinned: boolean;
}

export interface Path {
  jack: number;
  kind: string;
  interface: string;
  lanes: Array<string>;
  branches: Array<Branch>;
  source_ohm: number;
  inputs: number;
  calibrated: number;
  gain_percent: number;
  bend_cents: number;
  per_octave: boolean;
  assumed: boolean;
}

export interface Cable {
  number: string;
  from: string;
  to: string;
  purpose: string;
  colour: string;
  length_mm: number | null;
  stock_cm: number | null;
  set_ups: Array<string>;
}

export interface CableLot {
  purpose: string;
  stock_cm: number | null;
  long: boolean;
  over_cm: number | null;
  count: number;
}

export interface CableShade {
  colour: string;
  stock_cm: number | null;
  long: boolean;
  over_cm: number | null;
  count: number;
}

export interface MultipleLot {
  through: string;
  outs: number;
  count: number;
}

export interface Spare {
  cv: number;
  gates: number;
  either: number;
  jacks: Array<SpareJacks>;
}

export interface Revision {
  rig: string;
  replaces: string;
  lines: Array<RevisedLine>;
}

export interface Unison {
  part: string;
  of: number;
  when_short: string;
  law: string;
  spread_cents: number;
  detune_by: string;
  scaling: string;
  mean_cents: number;
  recentred: boolean;
  detune_cents: Array<number>;
  pans: Array<number>;
  pan_correlation: number;
  stacks: Array<Array<string>>;
  idle: Array<string>;
  keys: Array<KeyBeats>;
  slowest_period_s: number | null;
  throb: Throb | null;
  course: Course | null;
  warnings: Array<BeatWarning>;
}

export interface ContractStep {
  text: string;
  cv: number;
  gates: number;
  either: number;
}

export interface Growth {
  like: string;
  voices: number;
  limits: Array<Limit>;
  first: Array<string>;
  steps: Array<ContractStep>;
}

export interface PitchBasis {
  worst_cents: number;
  likely_cents: number;
  voice: string;
  at_key: number;
  known_cents: number;
  causes: Array<PitchCause>;
  drift_unknown: Array<string>;
  drift_days: number;
  unknown: Array<string>;
}

export interface Purchase {
  like: string;
  names: Array<string>;
  banks: number;
  voices: number;
  interfaces: Further;
  supplies: Further;
  rows: number;
  multiples: Array<MultipleLot>;
  cables: number;
  price: number | null;
  needs: Array<Need>;
  unknown: Array<string>;
  by_hand: Array<string>;
}

export interface BankFace {
  bank: string;
  colour: string;
  voices: Array<VoiceFace>;
  common?: Array<string>;
}

export interface State {
  name: string;
  state: string;
  keys: string;
  says: string;
}

export interface Set {
  parts: Array<Part>;
  command: string;
  note: string;
}

export interface OutageCable {
  cable: string;
  from: string;
  input: string;
  moves_to: string | null;
  others: Array<string>;
  bend_cents: number;
}

export interface OutagePart {
  part: string;
  voices_before: number;
  voices_after: number;
}

export interface OutageSong {
  song: ContractSong;
  before: Cost;
  after: Cost;
  without_spare: Cost | null;
  before_leaves: Wrong;
  after_leaves: Wrong;
  without_spare_leaves: Wrong | null;
  more_losses: Array<Loss>;
}

export interface Wants {
  part: string;
  voices: number;
  label: string;
  racked: number;
  bank: number;
  not_there: string;
}

export interface Chosen {
  part: string;
  kind: string;
  parts: Array<LossChoice>;
  kinds: Array<LossChoice>;
  doc: import("../assets/doc.js").Doc;
}

export interface Column {
  name: string;
  type: string;
  count: number;
}

export interface LaneVoice {
  name: string;
  bank: string;
  state: string;
}

export interface PlugCable {
  cable: string;
  from: string;
  to: string;
  colour: string;
  about: string;
  set_ups: Array<string>;
}

export interface PlugSetUp {
  name: string;
  head: string;
  cables: number;
  rack: Array<PlugGroup>;
  jacks: Array<PlugGroup>;
}

export interface PlugChange {
  kind: string;
  text: string;
  from?: string;
  to?: string;
  voice?: string;
}

export interface Carried {
  text: string;
  button: string;
  cables: Array<number>;
  changed: Array<string>;
}

export interface Tune {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  within_cents: number;
  readings: number;
  recordings: Array<Recording>;
  voices: Array<TunedVoice>;
  banks: Array<TunedBank>;
  common_drift: CommonDrift | null;
  drift_worst_cents: number | null;
  turns: Array<Turn>;
  jumps: Array<TunedJump>;
  turned: Array<string>;
  turned_said: boolean;
  instead: Array<Turn>;
  unisons: Array<Detuning>;
  map: Array<VoltsMove>;
  figures: Array<FigureChange>;
  assumed_before: number;
  assumed_after: number;
  findings: Array<Finding>;
  corrections: Array<string>;
  written: string | null;
  rig_file: string;
  middle_c: number;
}

export interface Took {
  version: number;
  rig: string;
  fingerprint: string;
  summary: string;
  take: string;
  recording: string;
  start_s: number;
  clock_ppm: number;
  second_best: number;
  peak_db: number | null;
  clipped: boolean;
  called: boolean;
  frames_per_s: number;
  through: string;
  voices: Array<TookVoice>;
  releases: Array<TookRelease>;
  written: string | null;
  asked: boolean;
  date: string | null;
  later: string | null;
  days: number;
  needs: TookNeeds | null;
  moved_cents: number | null;
  verified: TookVerified | null;
  answers: Array<string>;
  gives: Array<string>;
  jumps: Array<TunedJump>;
  anew: Array<string>;
  tuning: Tune | null;
  rig_file: string;
  middle_c: number;
}

export interface RepatchCable {
  from_panel: string;
  from: string;
  to_panel: string;
  to: string;
  cable: string;
}

export interface Switch {
  bank: string;
  to: string;
}

export interface Rest {
  panel: string;
  jack: string;
  inputs: Array<string>;
  gate: boolean;
  volts: number | null;
  key: number | null;
}

export interface Needs {
  multiples: number;
  gate_ors: number;
}

export interface ContractWay {
  pitches: string;
  gates: string;
  through: string;
  written: boolean;
  moves: number;
  pulls: number;
  plugs: number;
  switches: number;
  needs: Needs;
  rests: number;
  bend_cents: number;
}

export interface SetUp {
  name: string;
  from: Array<string>;
  parts: Array<SetUpPart>;
  dealt: Array<string>;
  silent: Array<string>;
  without: Array<string>;
  cables: number;
  cost: Cost | null;
  leaves: Wrong | null;
}

export interface ContractSong {
  file: string;
  title: string | null;
  notes: number;
  seconds: number;
  format: number;
  warnings: Array<Warning>;
  warnings_total: number;
  cut_off: boolean;
}

export interface PageSetUp {
  name: string;
  set: Array<Override>;
  shown: boolean;
  plays: boolean;
}

export interface RulesName {
  pick: string;
  steal: string;
  tails: string;
}

export interface Demand {
  held: number;
  pedal: number;
  audible: number;
  voices: number;
  heard_none: number | null;
  heard_plain_none: number | null;
}

export interface UnmappedKeys {
  channel: string;
  whole: boolean;
  notes: number;
  low_key: number;
  high_key: number;
}

export interface WrongPitch {
  part: string;
  notes: number;
  of: number;
  range: Range;
}

export interface MonoChords {
  part: string;
  notes: number;
  of: number;
}

export interface Basis {
  release_s: number;
  release_assumed: boolean;
  release_source: string;
  release_source_before: string | null;
  range_assumed: boolean;
  range_spare_keys: number | null;
  range_too_high_keys?: number;
  range_too_low_keys?: number;
  one_voice?: Array<OneVoice>;
  step_percent: number;
  longer: Enough;
  shorter: Enough;
}

export interface Changed {
  dropped: number;
  cut: number;
  lost_s: number;
  late_s: number;
  missing: Missing | null;
}

export interface Cost {
  damaged: number;
  dropped: number;
  overlap_only: number;
  lost_gate_s: number;
  tail_cuts: number;
  loudest_cut_db: number | null;
  audible_loss: number | null;
  heard?: HeardAfter;
  missing?: Missing;
}

export interface HeardFigures {
  share_plain: number;
  share_faint: number;
  plain_s: number;
  faint_s: number;
  plain: number | null;
  faint: number | null;
  worst_db: number;
  db_s: number;
}

export interface RunsOut {
  banks: Array<string>;
  free: number;
  part?: string;
  wanted?: number;
  has?: number;
}

export interface PartVoices {
  part: string;
  banks: Array<string>;
  from_key?: number;
  from_key_name?: string;
  voices: number;
}

export interface RulesFrom {
  pick: string;
  steal: string;
  tails: string;
  undamaged_from: number | null;
  untouched_from: number | null;
}

export interface OwnFrom {
  undamaged_from: number | null;
  quiet_from: number | null;
  faint_db: number;
  quiet_loudest_cut_db: number | null;
  untouched_from: number | null;
}

export interface SizePoint {
  voices: number;
  unavoidable_s: number;
  fewest_damaged: number;
  least_audible: number | null;
  above_held: number;
  above_pedal: number;
  above_audible: number;
  own: Cost;
  heard: HeardFigures | null;
  rules: Array<RulesCost>;
}

export interface Shortage {
  at_s: number;
  bar: string;
  lasts_s: number;
  wanted: number;
}

export interface ShortBar {
  bar: number;
  wanted: number;
}

export interface Fix {
  kinds: Array<string>;
  changes: Array<FixChange>;
  text: string;
  command: string;
  flags: Array<string>;
  overrides: Array<Override>;
  part: string | null;
  asks: string;
  verdict: string;
  after: Cost;
  leaves: Wrong;
  saves: Saving;
  number: number;
  args: Array<string>;
  line: string;
  lines: number;
  changed?: Changed;
  costs: Array<FixCost>;
  harms: Array<FixHarm>;
  set_ups_keep_banks: Array<string>;
  near: boolean;
  steps: Array<Changed>;
  on: number | null;
  shared: Array<SharedBank>;
  purchase: Purchase | null;
}

export interface Settings {
  played: number;
  of: number;
  whole: boolean;
  short: boolean;
  further_percent: number | null;
}

export interface Buying {
  tried: number;
  short: boolean;
  after: number | null;
  fewest: Purchase | null;
  needless: boolean;
  refused: Array<Refused>;
}

export interface Coverage {
  what: string;
  tried: number;
  of: number;
}

export interface Hearing {
  level_db: number;
  cutoff_hz: number | null;
  track_percent: number | null;
  wave: string | null;
  parts: Array<PartSound>;
  assumed: Array<string>;
  variations?: Array<HearingVariation>;
  covered: Array<Coverage>;
  interrupted?: boolean;
}

export interface Variation {
  what: string;
  value: string;
  now: boolean;
  flags: Array<string>;
  after: Cost;
}

export interface Absence {
  voice: number;
  name: string;
  after: Cost;
  leaves: Wrong;
  saves: Saving;
  best_to_spare: boolean;
}

export interface PartSize {
  name: string;
  notes: number;
  enough: Enough;
  curve: Array<SizePoint>;
}

export interface RackSize {
  name: string;
  banks: number;
  voices_per_bank: number;
  voices: number;
  cvs: number;
  gates: number;
  jacks_missing: number;
  hp: number;
  current: Array<RailDraw>;
  price: number | null;
  shared: Cost;
  heard: HeardFigures | null;
  split: Array<RackGroup>;
  split_cost: Cost;
}

export interface TakenVoice {
  name: string;
  called_s: number;
  from_s: number;
  to_s: number;
  parking_key: number;
  keys: Array<number>;
  fade_s: number;
  bent_cents: number;
}

export interface UnisonSetting {
  voices: number;
  spread_cents: number;
  law: string;
}

export interface Choice {
  name: string;
  label: string;
  about: string;
}

export interface Bar {
  voices: number;
  dark: number;
  grey: number;
  known: boolean;
  says: string;
}

export interface SizeMark {
  voices: number;
  says: string;
  answer: boolean;
  have: boolean;
}

export interface BenchSource {
  port: number;
  channel: number;
}

export interface FixFace {
  label: string;
  deeds: Array<Deed>;
}

export interface ReachFace {
  name: string;
  about: string;
  on: boolean;
  deed: Deed;
}

export interface SizeMost {
  voices: number;
  file: string;
}

export interface SetLeft {
  sum: Changed;
  worst: Changed;
  file: string;
}

export interface SetFix {
  number: number;
  purchase: Purchase | null;
  text: string;
  changes: Array<FixChange>;
  flags: Array<string>;
  asks: string;
  costs: Array<FixCost>;
  after: SetLeft;
  harms: Array<FixHarm>;
  set_ups_keep_banks: Array<string>;
  shared: Array<SharedBank>;
}

export interface Fact {
  name: string;
  word: string;
  of: string | null;
  names: Array<string>;
  value: number | null;
  unit: string | null;
  assumed: boolean;
}

export interface Jack {
  jack: number;
  kind: string;
  connector: number;
  place: number;
  interface: string;
  port: number | null;
  channel: number | null;
  message: string | null;
  pinned: boolean;
}

export interface Stack {
  stack: number | null;
  position: number | null;
  of: number;
}

export interface Seat {
  part: string;
  unison: Stack;
  detune_cents: number | null;
  pan: number | null;
  idle: boolean;
}

export interface Budget {
  at_key: number;
  step: Stray;
  interface: Stray;
  loading: Stray;
  normal: Stray;
  buffers: Stray;
  tracking: Stray;
  calibration: Stray;
  clamping: Stray;
  drift: Stray;
  terms: Array<Term>;
  likely_cents: number | null;
  worst_cents: number | null;
  rms_cents: number | null;
  assumed: boolean;
  unknown: Array<Term>;
}

export interface Branch {
  through: string;
  via: Array<string>;
  multiples: Array<number>;
  least: number | null;
  inputs: Array<string>;
  normal: string;
}

export interface SpareJacks {
  interface: string;
  kind: string;
  jacks: Array<number>;
}

export interface RevisedLine {
  cable: string;
  was: Array<string>;
  is: Array<string>;
}

export interface KeyBeats {
  key: number;
  key_name: string;
  pitch_hz: number;
  detune_cents: Array<number>;
  beats: Array<Beat>;
  slowest: Beat | null;
  fastest: Beat | null;
  neighbours: Array<Beat>;
  in_step_s: number | null;
  watched_s: number;
}

export interface Throb {
  gap_hz: number;
  period_s: number;
  first_null_s: number;
}

export interface Course {
  step_s: number;
  level_db: Array<number>;
}

export interface BeatWarning {
  code: string;
  stack: number | null;
  low: number;
  high: number;
  gap_cents: number;
  limit_cents: number;
  pairs: number;
  chance: number | null;
  assumed: boolean;
}

export interface Limit {
  resource: string;
  banks: number | null;
  at_least: boolean;
  basis: string | null;
  needs: string | null;
}

export interface PitchCause {
  cause: string;
  worst_cents: number;
  source: string;
  voices: number;
  assumed: number;
}

export interface Further {
  like: string | null;
  more: number;
}

export interface Need {
  resource: string;
  free: number;
  needed: number;
  unit: string | null;
  why?: string;
}

export interface VoiceFace {
  name: string;
  number: number;
  state: string;
  standing?: string;
  pitch?: string;
  gate?: string;
  pitch_by?: string;
  gate_by?: string;
  detune?: Array<string>;
  parts?: string;
}

export interface Part {
  name: string;
  pick: string;
  steal: string;
  tails: string;
  same_key: string;
  unison: number;
  release_s: number;
  release: string;
}

export interface Wrong {
  wrong_pitches: number;
  unplayed: number;
  without_jack: number;
}

export interface Loss {
  at_s: number;
  bar: string;
  bar_number: number;
  beat: number;
  part: string;
  key: number;
  key_name: string;
  voice: number | null;
  voice_name: string | null;
  ending: string;
  lost_s: number;
  level_db: number | null;
  by_key: number | null;
  by_key_name: string | null;
  by_part: string | null;
  cause: string;
  outer: boolean;
  heard_db: number | null;
  kind: string;
  flag: string | null;
  late_s?: number;
}

export interface LossChoice {
  name: string;
  label: string;
}

export interface PlugGroup {
  name: string;
  about?: string;
  colour?: string;
  toggles?: Array<PlugToggle>;
  cells: Array<PlugCell>;
}

export interface Recording {
  file: string;
  voice: string | null;
  key: number | null;
  volts: number | null;
  pitch_hz: number | null;
  autocorrelation_hz: number | null;
  confidence: number | null;
  wander_cents: number | null;
  harmonics: number | null;
  judged_s: number | null;
  clipped: boolean;
  refused: string | null;
}

export interface TunedVoice {
  voice: number;
  name: string;
  bank: string;
  measured: string | null;
  readings: Array<ReadVolts>;
  fit: VoiceFit | null;
  at_key: number | null;
  sharp_cents: number | null;
  z: number | null;
  stretch_z: number | null;
  odd: boolean;
  before: InTune | null;
  after: InTune | null;
  drift: VoiceDrift | null;
  by_hand: boolean;
  kept: boolean;
  tracks: boolean;
  through_unsaid: boolean;
  correction: Corrected | null;
  budget: BudgetShift | null;
}

export interface TunedBank {
  bank: string;
  voices: number;
  median_cents: number;
  mad_cents: number;
  undetermined: boolean;
  odd: Array<string>;
  apart: Array<Apart>;
}

export interface CommonDrift {
  voices: number;
  days: number;
  sd_cents: number;
}

export interface Turn {
  order: number;
  voice: string;
  trimmer: string;
  direction: string;
  by_cents: number;
  by_cents_per_octave: number | null;
  hold_volts: number;
  hold_key: number;
  from_hz: number;
  to_hz: number;
  odd: boolean;
  needed: boolean;
  reason: string | null;
  reason_cents: number;
  reason_key: number | null;
}

export interface TunedJump {
  voice: string;
  from: string;
  to: string;
  cents: number;
  others_cents: number | null;
  apart_cents: number;
  explained_cents: number;
}

export interface Detuning {
  part: string;
  stack: number | null;
  voices: Array<string>;
  key: number;
  asked_cents: Array<number>;
  unmeasured: number;
  before: StackTuned;
  after: StackTuned;
}

export interface VoltsMove {
  voice: string;
  key: number;
  volts_before: number;
  volts_after: number;
}

export interface FigureChange {
  code: string;
  where: string;
  before: Finding | null;
  after: Finding | null;
}

export interface TookVoice {
  name: string;
  state: string;
  faults: Array<TookFault>;
  confidence: number;
  release_s: number | null;
  attack_s: number | null;
  level_db: number | null;
  latency_s: number | null;
  late: boolean;
  shortest_gate_s: number | null;
  release_sigma_s: number | null;
  attack_sigma_s: number | null;
  level_sigma_db: number | null;
  latency_sigma_s: number | null;
  moved_cents: number | null;
  readings: Array<TookReading>;
  from_s: number;
  notes: Array<TookNote>;
}

export interface TookRelease {
  kind: string;
  voices: number;
  median_s: number;
  low_s: number;
  high_s: number;
  rig_s: number;
  basis: string;
}

export interface TookNeeds {
  song: ContractSong;
  before: TookSized;
  after: TookSized;
  voices: number;
  away: number;
  longest_s: number;
  longest_voice: string | null;
  own: Cost;
  own_heard: HeardFigures | null;
  unplayed: number;
  unmapped_keys: Array<UnmappedKeys>;
}

export interface TookVerified {
  within_cents: number;
  in_tune: number;
  voices: number;
  worst: Array<TookOff>;
  bent: number;
  unheard: number;
}

export interface SetUpPart {
  part: number;
  banks: Array<string>;
}

export interface Warning {
  offset: number;
  message: string;
}

export interface Range {
  low_key: number;
  high_key: number;
  window_low_key: number | null;
  window_high_key: number | null;
  octaves_to_fit: number | null;
  zero_key_shift_semitones: number | null;
  zero_key?: ZeroKey;
  missed_cents: number;
  missed: number;
  bars: Array<RangeBar>;
}

export interface OneVoice {
  voices: Array<string>;
  jack: string;
  in_turn: boolean;
}

export interface Missing {
  heard_s: number;
  plain_s: number;
  db_s: number;
}

export interface HeardAfter {
  plain: number;
  faint: number;
  share_plain: number;
}

export interface RulesCost {
  pick: string;
  steal: string;
  tails: string;
  damaged: number;
  dropped: number;
  overlap_only: number;
  lost_gate_s: number;
  tail_cuts: number;
  loudest_cut_db: number | null;
  audible_loss: number | null;
  heard?: HeardAfter;
  missing?: Missing;
}

export interface FixChange {
  kind: string;
  part: string | null;
  interface?: string;
  value?: string;
  number?: number;
  more?: number;
  banks?: Array<PartBanks>;
  recordings?: Array<Array<string>>;
  semitones?: number;
}

export interface Saving {
  damaged: number;
  lost_gate_s: number;
  tail_cuts: number;
}

export interface FixCost {
  what: string;
  by: number;
}

export interface FixHarm {
  part: string;
  notes: number;
  lost_s: number;
}

export interface SharedBank {
  part: string;
  bank: string;
  effort: string;
  lanes: Array<string>;
}

export interface Refused {
  like: string;
  banks: number;
  voices: number;
  short: Array<Need>;
}

export interface PartSound {
  part: string;
  wave: string;
  cutoff_hz: number;
  track_percent: number;
  velocity: boolean;
}

export interface HearingVariation {
  name: string;
  heard_none: number | null;
  heard_plain_none: number | null;
}

export interface RailDraw {
  rail: number;
  current_ma: number;
}

export interface RackGroup {
  parts: Array<string>;
  banks: number;
}

export interface Deed {
  do: string;
  part?: string;
  port?: number;
  channel?: number;
  zone?: string;
  also?: boolean;
  name?: string;
  banks?: Array<string>;
  bank?: string;
  voices?: number;
  kind?: string;
  profile?: string;
  semitones?: number;
  mode?: string;
  width?: number;
  law?: string;
  voice?: string;
  state?: string;
  keys?: string;
  key?: number;
  low_v?: number;
  high_v?: number;
}

export interface Stray {
  worst_cents: number;
  sigma_cents: number;
  assumed: boolean;
}

export interface Term {
  term: string;
  cents: number;
  law: string;
  degrees: number | null;
  basis: string;
  source: string;
}

export interface Beat {
  low: number;
  high: number;
  beat_hz: number;
  period_s: number | null;
}

export interface PlugToggle {
  at: number;
  cable: string;
  shape: string;
  small: string;
  big: string;
  below?: string;
}

export interface PlugCell {
  name: string;
  colour?: string;
  out: boolean;
  standing?: string;
  lines?: Array<string>;
  toggles: Array<PlugToggle>;
}

export interface ReadVolts {
  at: string;
  date: string | null;
  key: number | null;
  volts: number;
  pitch_hz: number;
  want_hz: number;
  sharp_cents: number;
  residual_cents: number | null;
  octaves_off: number;
}

export interface VoiceFit {
  unit: string;
  intercept: number;
  slope_per_volt: number;
  r2: number;
  residual_cents: number;
  worst_cents: number;
  limit_cents: number | null;
  piecewise: boolean;
  offset_cents: number;
  stretch_cents_per_octave: number | null;
  different_volts: number;
  readings_fitted: number;
  lowest_volts: number;
  highest_volts: number;
}

export interface InTune {
  low_key: number | null;
  high_key: number | null;
  worst_cents: number;
  judged_keys: number;
}

export interface VoiceDrift {
  days: number;
  from: string;
  to: string;
  sd_cents: number;
  moved_cents: number;
}

export interface Corrected {
  offset_volts: number;
  scale: number;
  residual_cents: number | null;
  drift_cents: number | null;
  points: Array<CorrectPoint>;
}

export interface BudgetShift {
  worst_cents_before: number;
  worst_cents_after: number;
  likely_cents_before: number;
  likely_cents_after: number;
  unknown_before: boolean;
  assumed_before: boolean;
  assumed_after: boolean;
  drift_unknown_after: boolean;
}

export interface Apart {
  voice: string;
  stretched: boolean;
  cents: number;
  z: number;
  heard: boolean;
}

export interface StackTuned {
  error_cents: Array<number>;
  apart_cents: number;
  spread_cents: number | null;
  slowest_beat_hz: number | null;
}

export interface TookFault {
  code: string;
  with: string | null;
  octaves: number;
}

export interface TookReading {
  key: number;
  bend_semitones: number;
  hertz: number;
  cents: number;
  sigma_cents: number;
}

export interface TookNote {
  kind: string;
  at_s: number;
  seconds: number;
  key: number;
  bend_semitones: number;
  heard_key: number | null;
}

export interface TookSized {
  heard_none: number | null;
  held: number;
  tails: number;
}

export interface TookOff {
  voice: string;
  key: number;
  cents: number;
}

export interface ZeroKey {
  interface: string;
  key: number;
}

export interface RangeBar {
  bar: number;
  notes: number;
  worst_cents: number;
}

export interface PartBanks {
  part: string;
  banks: Array<string>;
  from_key?: number;
  from_key_name?: string;
}

export interface CorrectPoint {
  at_volts: number;
  add_volts: number;
}
