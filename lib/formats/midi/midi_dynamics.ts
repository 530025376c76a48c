/** Dynamics and MIDI velocities. */

/**
 * Velocity of each mark from ppp to fff: the steps many programs use, sixteen apart. Common practice, no source.
 */
export const VELOCITIES: readonly number[] = [16, 33, 49, 64, 80, 96, 112, 126];

/** Controller 7 (channel volume) of General MIDI at rest. */
export const DEFAULT_VOLUME = 100;
/** Controller 11 (expression) at rest. */
export const DEFAULT_EXPRESSION = 127;

/**
 * Velocity of a number on the dynamic scale; fractions lie between the marks.
 *
 * @param dynamic 1 ppp to 8 fff; held at the ends
 * @returns velocity, not rounded
 */
export function velocityOf(dynamic: number): number {
  const held = Math.min(8, Math.max(1, dynamic));
  const low = Math.min(7, Math.floor(held));
  return VELOCITIES[low - 1]! + (held - low) * (VELOCITIES[low]! - VELOCITIES[low - 1]!);
}

/**
 * Number on the dynamic scale of a velocity, in tenths.
 *
 * @param velocity effective velocity
 * @returns 1 ppp to 8 fff
 */
export function dynamicOfVelocity(velocity: number): number {
  const held = Math.min(VELOCITIES.at(-1)!, Math.max(VELOCITIES[0]!, velocity));
  const above = Math.max(1, VELOCITIES.findIndex((v) => v >= held));
  const [low, high] = [VELOCITIES[above - 1]!, VELOCITIES[above]!];
  return Math.round((above + (held - low) / (high - low)) * 10) / 10;
}

/**
 * Shares a dynamic between channel volume and velocity, so that their product is the dynamic's velocity.
 *
 * @param dynamic 1 ppp to 8 fff
 * @returns controller 7, from 1 to 127
 */
export function volumeOf(dynamic: number): number {
  const share = Math.sqrt(velocityOf(dynamic) / velocityOf(5));
  return Math.min(127, Math.max(1, Math.round(DEFAULT_VOLUME * share)));
}

/**
 * What a velocity amounts to under channel volume and expression.
 *
 * @param velocity velocity of the note
 * @param volume controller 7
 * @param expression controller 11
 * @returns effective velocity; equal to the velocity with both controllers at rest
 */
export function effectiveVelocity(velocity: number, volume: number, expression: number): number {
  return velocity * volume / DEFAULT_VOLUME * expression / DEFAULT_EXPRESSION;
}
