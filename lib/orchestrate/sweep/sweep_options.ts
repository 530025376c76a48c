/** What a sweep may be asked for, and how it says how far it is. */
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import type { Sketch } from "../plan/sketch.ts";
import type { LayersOf } from "../plan/vary.ts";
import type { SweepMeasure } from "./sweep_rows.ts";

/** How far a sweep has come. */
export interface SweepProgress {
  /** Rows that are there. */
  readonly done: number;
  /** Rows there will be. */
  readonly total: number;
  /** Of those that are there, how many settings were refused. */
  readonly refused: number;
  /** Rows that were there from an earlier run. */
  readonly resumed: number;
}

/** Options of `sweep`. */
export interface SweepOptions {
  /** What is set; needed unless the grid has sketches to choose from. */
  readonly sketch?: Sketch;
  /** Who can play; by default the symphony orchestra. */
  readonly orchestra?: readonly OrchestraPart[];
  /**
   * Which layers the choices of who, figure, articulation, dynamic and section size apply to, as for `vary`. By default
   * those of the role that all the figures belong to, or all layers where the grid has no figures.
   */
  readonly layers?: LayersOf;
  /** What is measured; by default all. Momentum takes balance, so leaving that out saves nothing beside it. */
  readonly measures?: readonly SweepMeasure[];
  /**
   * How closely hearing is worked out, as for `balance`: `full` as in a single study, `quick` with every note's own
   * filters. By default full for up to 1000 settings and quick for more, where figures are up to a few percent off, all
   * in the same way, and come two to three times sooner.
   */
  readonly detail?: "full" | "quick";
  /** Refuse what nobody can play. By default true; with false it is measured all the same, and counted. */
  readonly refuseImpossible?: boolean;
  /**
   * File that keeps the rows as they come, JSON lines. A sweep that was interrupted goes on from it: no row is lost or
   * worked out twice.
   */
  readonly stateFile?: string;
  /**
   * Threads to work in; 0 works in the caller's own. By default as many as there are processors, 0 for a small grid or
   * where the program has no permission to read files.
   */
  readonly workers?: number;
  /** Called whenever rows have come. */
  readonly onProgress?: (progress: SweepProgress) => void;
  /** Stops the sweep when it is aborted; what was kept in the file stays. */
  readonly signal?: AbortSignal;
}
