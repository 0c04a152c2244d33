// Shapes of the program's documents, as far as the page reads them (docs/schemas holds them whole).

/** @typedef {[number, number]} Point  mm from corner A, component side seen */
/** @typedef {{where: string, message: string, remedy: string}} Refusal */
/** @typedef {'AB'|'BC'|'CD'|'DA'} EdgeName */
/** @typedef {{edge: EdgeName, percent?: number, interval95_percent?: [number, number], length_mm: number, gap_mm?: number, gap_u95_mm?: number, verdict: string}} EdgeBow */
/**
 * @typedef {object} Flatness
 * @property {number} [bow_percent] @property {[number, number]} [bow_interval95_percent] @property {EdgeName} [bow_edge]
 * @property {'component'|'solder'} [bow_towards] @property {EdgeBow[]} [bow_edges]
 * @property {number} [twist_percent] @property {[number, number]} [twist_interval95_percent]
 * @property {string} [high_diagonal] @property {string} [twist_procedure] @property {boolean} [weight_removed]
 * @property {number} [flatness_ls_mm]
 * @property {number} limit_percent @property {string} limit_source @property {string} [limit_meaning]
 * @property {string} bow_verdict @property {string} twist_verdict @property {string[]} not_measured @property {string} [next_reading]
 */
/**
 * @typedef {object} PartRating
 * @property {string} ref @property {string} class @property {string} [where] @property {number} [found_strain_ue] @property {number} [found_share] @property {[number, number]} [found_strain_interval95_ue]
 * @property {number} [flatten_strain_ue] @property {number} [allowed_strain_ue] @property {number} [share] @property {number} [damage_probability] @property {string} [damage_chance]
 * @property {string} [rating] @property {string} [set_by] @property {[number, number]} [share_interval95] @property {number} [joint_force_n]
 */
/**
 * @typedef {object} Option
 * @property {string} name @property {string} [how] @property {number[]} [bow_after_percent] @property {number[]} [lasting_fraction]
 * @property {number[]} [just_freed_fraction] @property {number} [worst_share] @property {number} [damage_probability] @property {string} [damage_chance] @property {number} [days]
 * @property {number} [gain_mm] @property {string[]} blocked_by @property {string} [against]
 */
/** @typedef {{x_mm: number[], y_mm: number[], height_mm: (number|null)[][], layers?: Record<string, (number|null)[][]>}} SurfaceGrid */
/**
 * @typedef {object} Assessment
 * @property {string} label @property {string} works @property {string} need @property {string} [read_at] @property {string} [held]
 * @property {Flatness} flatness @property {PartRating[]} parts @property {Option[]} options @property {string} recommended
 * @property {string[]} because @property {string[]} cautions @property {{title: string, text: string}[]} [answers] @property {boolean} [preview]
 * @property {{edges?: Record<string, string>, sheet?: string}} [drawings] @property {SurfaceGrid} [surface]
 * @property {{name: string, value_mm: number}[]} [readings] @property {string[]} [notes]
 */
/**
 * @typedef {object} Part
 * @property {string} ref @property {string} class @property {number} [x_mm] @property {number} [y_mm] @property {number} [length_mm] @property {number} [width_mm]
 * @property {number} [rotation_deg] @property {string} [side] @property {string} [region] @property {number} [height_mm] @property {number} [joint_pitch_mm]
 */
/** @typedef {{x_mm: number, y_mm: number, diameter_mm: number, use?: string}} Hole */
/**
 * @typedef {object} Board
 * @property {string} label @property {Point[]} outline_mm @property {Point[]} [corners_mm] @property {Point[][]} [cutouts_mm] @property {Part[]} parts @property {Hole[]} holes_mm
 * @property {string} need @property {string} works @property {number} [mass_g] @property {number} [thickness_mm] @property {string} mounting @property {number} [year]
 * @property {string} [preset] @property {number} [acceptance_class] @property {string} [laminate] @property {string} [worth]
 */
/** @typedef {{id: string, kind: string, at: string, fitted?: string[], [key: string]: any}} Entry */
/** @typedef {{photo: string, pose?: string, check?: PhotoCheck}} Photo */
/** @typedef {{usable?: boolean, warnings?: string[], problem?: Refusal | string, sheet?: string, corners?: number, stickers?: number, edge_width_px?: number, error?: Refusal | string, seen?: string, advice?: string[], missing?: string}} PhotoCheck */
/** @typedef {{id: string, label: string, board: Board, entries: Entry[], photos: Photo[]}} BoardRecord */
/**
 * @typedef {object} LotRow
 * @property {string} folder @property {string} label @property {string} [problem] @property {boolean} [pending] @property {string} works @property {string} need
 * @property {{bow: string, twist: string}} verdicts @property {number} [bow_percent] @property {[number, number]} [bow_interval95_percent]
 * @property {number} [twist_percent] @property {[number, number]} [twist_interval95_percent] @property {number} [limit_percent] @property {string} recommended @property {string} next_action @property {string} [due]
 * @property {{edge: string, length_mm: number, gap_mm: number}} [worst_edge]
 */
/** @typedef {{format: string, name: string, rows: LotRow[]}} Lot */
/** @typedef {{name: string, plain: string, trade?: string}} Named */
/** @typedef {Named & {length_mm?: number, width_mm?: number}} Preset */
/** @typedef {Named & {measures?: string[], aspects?: string[]}} DamageKind */
/** @typedef {{presets: Preset[], part_classes: Named[], laminates: Named[], instruments: Named[], surfaces: Named[], damage_kinds: DamageKind[]}} Catalog */
/** @typedef {{lot: boolean, name: string, lan: boolean, phone: boolean, version: string}} Session */
/**
 * @typedef {object} Mark
 * @property {number} number @property {string} id @property {string} kind @property {string} [side] @property {Point[]} [at_mm] @property {number} [length_mm]
 * @property {number} [length_u95_mm] @property {number} [width_mm] @property {string} [depth] @property {string[]} near @property {string} state @property {string} outcome
 * @property {string[]} reasons @property {string[]} missing @property {{options: string[], why: string}[]} blocks @property {string} [procedure] @property {string[]} tests
 * @property {string} source @property {string} [photo] @property {number} limit_factor @property {string} [region]
 */
/** @typedef {{ref: string, strain_ue: number, share?: number, share_interval95?: [number, number], rating?: string, damage_probability?: number}} HeldPart */
/**
 * @typedef {object} Preview
 * @property {number} warp_mm @property {number} flat_mm @property {boolean} flat @property {boolean} reached
 * @property {{share: number, load_n: number, gap_mm: number, highest_mm: number, largest_strain_ue: number}[]} steps
 * @property {{load_n: number, gap_mm: number, largest_strain_ue: number}} end @property {HeldPart[]} parts @property {number} [any_damage_probability] @property {string} [any_damage_chance]
 * @property {number} [lower_over_s] @property {string[]} validity @property {string[]} cautions @property {string} [svg]
 * @property {{hold: string, keeps: number[], just_freed?: number[]}[]} [lasting] @property {any} [optimised]
 */

export {};
