/**
 * Usual spans of readings in edition 2026-1, with the other units that are taken for the right one. A reading outside
 * its span that would lie inside it in one of those units is looked at by a person; it is never changed.
 */
import type { UsualSpanDeclaration } from '../edition.ts'

const span = (
  dimension: UsualSpanDeclaration['dimension'],
  low: number,
  high: number,
  unit: string,
  others: readonly string[],
): UsualSpanDeclaration => ({ dimension, low, high, unit, others })

/** Wide enough for any plant that is tested (our judgement). */
export const spans = {
  'discharge-pressure': span('pressure', 0.5, 350, 'psi', ['psi', 'kPa', 'bar', 'ftH2O']),
  'inside-diameter': span('length', 1.5, 48, 'in', ['in', 'mm', 'cm', 'ft']),
  'velocity-of-rate': span('velocity', 0.3, 25, 'ft/s', []),
  rate: span('flow', 5, 20_000, 'gpm', ['gpm', 'L/s', 'm3/h', 'cfs']),
}
