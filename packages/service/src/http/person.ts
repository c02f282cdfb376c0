/** Who is behind a credential, where two persons are asked for. */
import type { Principal } from './principal.ts'
import { Problem } from './problem.ts'

/** Code of the person. Throws `forbidden` where the key names nobody: then two can’t be told apart. `rule` says why it matters. */
export function personBehind({ holder }: Principal, rule: string): string {
  if (holder !== undefined) return holder
  throw new Problem(
    'forbidden',
    `${rule}, and this key does not say whose it is: have an administrator make one with \`holder\`.`,
  )
}
