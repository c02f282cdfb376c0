/** Order of two moments, either of which may not have been noted. */

/** Seconds by which `moment` comes after `reference`; 0 if it does not, or if one of them is not known. */
export function lateness(moment: number | undefined, reference: number | undefined): number {
  return moment === undefined || reference === undefined || moment <= reference ? 0 : moment - reference
}
