/** Where the rule of a finding comes from, in the three forms that most findings need. */
import type { Source } from '../formula.ts'

/** Custom of the trade, with the reason that the trade gives. */
export const commonPractice = (reason: string): Source => ({
  document: 'common practice',
  place: reason,
  basis: 'common practice',
})

/** Our own threshold or rule, with the reasoning that led to it. */
export const ourJudgement = (reasoning: string): Source => ({
  document: 'our judgement',
  place: reasoning,
  basis: 'our judgement',
})

/** A document that was not at hand: to be confirmed before it is quoted elsewhere. */
export const fromMemory = (document: string, place: string): Source => ({ document, place, basis: 'from memory' })
