// What the page's scripts hand to each other, and what the program answers them: for tsc and for the reader; nothing of it is loaded.

/** What an element is made with: names and values; one that begins with "on" is a listener. */
type Attributes = Record<string, any>;

/** What the player chose for a tune, as `choices.rs` keeps it. */
interface Choices {
  harp: string;
  part: string | null;
  key: string | null;
  octave: number;
  voice: string | null;
  tempo: string | null;
  kind: string | null;
  fullness: number[];
  use: string[];
  without: string[];
  sound: string | null;
  concert: string | null;
  chords_from: string | null;
  chords_a_measure: number | null;
  keep?: string[];
  bass: string | null;
  variant: number;
  fingers: string;
  changes?: string[];
  player: PlayerChoices;
  form?: FormChoices;
  ways?: Record<string, string>;
  holds?: Record<string, string>;
  phrases?: Record<string, string>;
  chords: Record<string, string>;
}

interface PlayerChoices {
  fluency: string;
  left_block: number;
  left_rolled: number;
  right_block: number;
  right_rolled: number;
  leave_out: number[];
  levers: string;
  shoulder: string;
}

interface FormChoices {
  introduction?: string | null;
  vamp?: string | null;
  interlude?: string | null;
  ending?: string | null;
  repeats?: string | null;
  ways_out?: string | null;
  high?: number[];
  melody_below?: number[];
}

/** What a change changed, in words and in measures of the page. */
interface Changed {
  words: string;
  measures: number[];
  of: number;
  marks: string | null;
}

/** What there is to choose from, each with its words (`lists.rs`). */
interface Lists {
  kinds: string[];
  /** What each fullness is, from 0. */
  fullness: string[];
  fingers: [string, string][];
  fluency: [string, string][];
  bass: [string, string][];
  measures: [string, string][];
  ending: [string, string][];
  ways_out: [string, string][];
  repeats: [string, string][];
}

/** What the program says of a tune (`server/tunes.rs`). */
interface Tune {
  id: string;
  title: string;
  revision: string;
  choices: Choices;
  version: string;
  versions: any[];
  can_undo: boolean;
  can_redo: boolean;
  harps: any[];
  /** What her own harps are called, by file. */
  harp_names: Record<string, string>;
  usual: any;
  by_hand: { index: number; number: string | number | null; at: number; text: string; found: boolean }[];
  lists: Lists;
  figures: { name: string; pattern: string; level: number; fullness: number[] }[];
  remarks: string[];
  sounds: string[];
  usual_sound: boolean;
  parts: string[];
  part: string | null;
  written_basses: boolean;
  /** The report as `undersong arrange --json` prints it. */
  report: any;
  way_words?: string | null;
  changed?: Changed;
}

/** The drawn page with where its measures are (`server/page.rs`). */
interface Page {
  svgs: string[];
  measures: { number: string | number; [fact: string]: any }[];
  revision: string;
  /** What is said where boxes stand for letters that no font has. */
  boxes?: string | null;
}

/** What the program says of one measure (`measure.rs`). */
interface Measure {
  number: string | number;
  revision: string;
  [fact: string]: any;
}

/** A place while the music plays. */
interface Playing {
  measure: number;
  at: number;
  share: number;
  moments: number[];
  beats?: number;
}

type Patch = (choices: Choices) => void;

/** What the worktable tells its panels of. */
type News = "tune" | "page" | "chosen" | "measure" | "moment" | "marks";

/** Everything the worktable knows and does; panels draw from it, listen with `on` and ask it for changes. */
interface Worktable {
  readonly id: string;
  /** As last read: nothing is drawn before the first answer. */
  tune: Tune;
  page: Page;
  /** The measure looked at, by its place on the page from 0, and what is known of it. */
  chosen: number;
  /** Which measure `measure` is: another than the chosen one as long as that is read. */
  measureAt: number | null;
  measure: Measure;
  /** Which pluck of the chosen measure the picture of the strings shows. */
  moment: number;
  /** What sounds now, while the music plays. */
  sounding?: { measure: Measure; hand: any } | null;
  /** Width of the page in millimetres. */
  width: number;
  meter(): string | undefined;
  revision(): string | undefined;

  on(what: News, act: (worktable: Worktable) => void): void;
  say(what: News): void;

  readMeasure(): Promise<void>;
  readPage(): Promise<void>;
  take(tune: Tune): Promise<void>;
  read(): Promise<void>;

  /** Looks at a measure; one that is looked at already is told again when `again` is there. */
  choose(index: number, again?: boolean): void;
  chooseMoment(moment: number): void;
  playing(place: Playing | null): Promise<void>;

  change(patch: Patch, words?: string): Promise<void>;
  setChord(place: string, chord: string | null, words?: string): Promise<void>;
  /** Whether it was done. */
  changeByHand(line: string): Promise<boolean>;
  noticed(revision: string): Promise<void>;
  back(way: "undo" | "redo"): Promise<void>;
  hold(figure: string): void;
  letGo(): void;

  /** Set by the page's view, the sound, the recording and the tabs. */
  showPlaying(place: Playing | null): void;
  markWould(meant: { from: number; to: number } | null, others: number[]): void;
  toWays(): void;
  /** Shows the panel of the measure, whatever panel is open. */
  showMeasure(): void;
  /** Draws the single notes of the measure anew. */
  drawNotes(): void;
  playPause(): void;
  hushSound(): void;
  hearWay(figure: string | null): void;
  hearTried(choices: Choices, span: any): void;
  tap(): void;
  hushRecording(): void;

  /** What she opened and closed, kept while the panels are drawn anew. */
  changingNotes?: boolean;
  waysOpen?: boolean;
  chordsOpen?: boolean;
  keysOpen?: boolean;
  badKeysOpen?: boolean;
  figuresOpen?: boolean;
  playerPart?: { open?: boolean };
  /** The note that is picked among the single ones, and whether it is to have the focus again. */
  note?: any;
  refocusNote?: boolean;
  /** Her changes of notes, one after another. */
  noteChanges?: Promise<void>;
  /** A note that is to be added: which hand, where, which string. */
  addition?: { hand: string; named: string; pitch: string };
  /** The revision whose marks of what changed she has put out. */
  marksOff?: string;
  /** What each other way of the whole changed, and the one shown. */
  wayWords?: Map<number, string>;
  wayNow?: number;
}
