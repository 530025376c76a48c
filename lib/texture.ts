/**
 * Texture: what each part is doing. Roles and figures, recognition, leads, doublings.
 *
 * @module
 */

export { isRole, ROLE_NAMES, ROLES } from "./texture/roles.ts";
export type { Role, RoleDescription } from "./texture/roles.ts";
export type * from "./texture/model.ts";
export type { Broad } from "./texture/broad_kinds.ts";
export { FIGURE_SHAPES } from "./texture/figure_shapes.ts";
export type { FigureShape, FigureShapeDescription } from "./texture/figure_shapes.ts";
export { figureById, FIGURES, figuresFor } from "./texture/figures.ts";
export type {
  Figure,
  FigureId,
  FigureName,
  FigureStroke,
  FigureTones,
  FigureValue,
  OwnFigure,
  PlainFigure,
  TableFigure,
} from "./texture/figures.ts";
export { defineFigure } from "./texture/define_figure.ts";
export type { DefinedFigure, DefinedRole, FigureDefinition } from "./texture/define_figure.ts";
export { cellFeatures, WINDOW_UNITS } from "./texture/features/features.ts";
export type { CellFeatures } from "./texture/features/features.ts";
export type { FeltBar } from "./texture/features/felt_time.ts";
export { relationsOf, relationSpans } from "./texture/recognise/relations.ts";
export type {
  PartRelation,
  Relation,
  RelationsOptions,
  RelationSpan,
} from "./texture/recognise/relations.ts";
export type { DoublingWeights } from "./texture/judge/doubling_weights.ts";
export { readFigures } from "./texture/recognise/read_figures.ts";
export type { FigureReading, FigureTouch, ReadFiguresOptions } from "./texture/recognise/read_figures.ts";
export type { ShapeOptions } from "./texture/recognise/read_shapes.ts";
export type { LineContour } from "./texture/features/contour.ts";
export type { ChordTones } from "./texture/features/harmony_tones.ts";
export type { RhythmCell } from "./texture/features/rhythm_cell.ts";
export type { FigureWeights } from "./texture/judge/figure_weights.ts";
export { isAlsoPossible } from "./texture/also_possible.ts";
export { assignRole } from "./texture/assign_role.ts";
export { recognise, textureOf } from "./texture/recognise/recognise.ts";
export type { RecogniseOptions } from "./texture/recognise/recognise.ts";
export { trackLead } from "./texture/recognise/track_lead.ts";
export type { LeadInBar } from "./texture/recognise/track_lead.ts";
export { TEXTURE_WEIGHTS } from "./texture/judge/texture_weights.ts";
export type { LinearModel, TextureWeights } from "./texture/judge/weights.ts";
export { textureDifferences } from "./texture/texture_differences.ts";
export type {
  TextureAgreement,
  TextureDifference,
  TextureDifferencesOptions,
} from "./texture/texture_differences.ts";
export { writtenTexture } from "./texture/written.ts";
