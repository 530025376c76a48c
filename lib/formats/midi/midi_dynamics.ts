/** Dynamics and MIDI velocities. */

/** Velocity of each mark from ppp to fff: the steps many programs use, sixteen apart. Common practice, no source. */
const VELOCITIES: readonly number[] = [16, 33, 49, 64, 80, 96, 112, 126];

/** Controller 7 (channel volume) of General MIDI at rest. */
export const DEFAULT_VOLUME = 100;
/** Controller 11 (expression) at rest. */
export const DEFAULT_EXPRESSION = 127;

/** Velocity of a number on the dynamic scale, held at its ends and not rounded; fractions lie between the marks. */
export function velocityOf(dynamic: number): number {
  const held = Math.min(8, Math.max(1, dynamic));
  const low = Math.min(7, Math.floor(held));
  return VELOCITIES[low - 1]! + (held - low) * (VELOCITIES[low]! - VELOCITIES[low - 1]!);
}

/** Number on the dynamic scale of a velocity, in tenths. */
export function dynamicOfVelocity(velocity: number): number {
  const held = Math.min(VELOCITIES.at(-1)!, Math.max(VELOCITIES[0]!, velocity));
  const above = Math.max(1, VELOCITIES.findIndex((v) => v >= held));
  const [low, high] = [VELOCITIES[above - 1]!, VELOCITIES[above]!];
  return Math.round((above + (held - low) / (high - low)) * 10) / 10;
}

/**
 * Shares a dynamic between channel volume (controller 7) and velocity, so that their product is the dynamic's
 * velocity.
 */
export function volumeOf(dynamic: number): number {
  const share = Math.sqrt(velocityOf(dynamic) / velocityOf(5));
  return Math.min(127, Math.max(1, Math.round(DEFAULT_VOLUME * share)));
}

/** What a velocity amounts to under channel volume and expression; it stays with both controllers at rest. */
export function effectiveVelocity(velocity: number, volume: number, expression: number): number {
  return velocity * volume / DEFAULT_VOLUME * expression / DEFAULT_EXPRESSION;
}
