/** Head that the bowls themselves make. */
import { defineFormula } from '../formula.ts'

/** Head in m of the bowls: what is delivered, and what friction in the column takes before. */
export const bowlHead = defineFormula({
  id: 'bowl-head',
  title: 'Head of the bowls',
  unit: 'm',
  inputs: { totalHead: 'm', friction: 'm' },
  expression: 'H_b = H + h_f',
  symbols: { totalHead: ['H', 'total dynamic head'], friction: ['h_f', 'friction head of the column'] },
  source: { document: 'general hydraulics', place: 'balance of heads', basis: 'derived' },
  value: ({ totalHead, friction }) => totalHead + friction,
  partials: () => ({ totalHead: 1, friction: 1 }),
})
