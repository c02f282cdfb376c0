/** Short forms of the sources an edition names. */
import type { Source } from '../../formula.ts'

export const practice = (place: string): Source => ({ document: 'common practice', place, basis: 'common practice' })
export const judged = (place: string): Source => ({ document: 'edition 2026-1', place, basis: 'our judgement' })
export const remembered = (document: string, place: string): Source => ({ document, place, basis: 'from memory' })
export const derived = (place: string): Source => ({ document: 'edition 2026-1', place, basis: 'derived' })
export const lookedUp = (document: string, place: string): Source => ({ document, place, basis: 'looked up' })
