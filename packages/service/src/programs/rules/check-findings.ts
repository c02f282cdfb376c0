/** Contradictions of what a rule set changes of findings with what a program may change. */
import { editionById, findings, recordFindingList } from '@liftledger/calc'
import { boundText } from './bounds.ts'
import { type Contradiction, contradiction } from './contradiction.ts'
import { boundValueOfLimit, isTighter, mayChange } from './may-change.ts'
import type { RuleSetContent } from './schema.ts'
import type { Bound } from './schema-parts.ts'

const GRAVITY = ['note', 'caution', 'hold', 'reject']
const byId = new Map([...findings, ...recordFindingList].map((finding) => [finding.id, finding]))
const ofRecord = new Set(recordFindingList.map(({ id }) => id))

export function checkEdition({ methodEdition }: RuleSetContent): Contradiction[] {
  if (editionById(methodEdition) !== undefined) return []
  return [
    contradiction('unknown-edition', `There is no method edition ${methodEdition} here.`, {
      id: 'method-edition',
      pointer: '/methodEdition',
    }),
  ]
}

export function checkFindings(rules: RuleSetContent): Contradiction[] {
  const { limits = {}, severity = {} } = rules.findings ?? {}
  return [
    ...Object.entries(severity).flatMap(([id, wanted]) => checkSeverity(id, wanted)),
    ...Object.entries(limits).flatMap(([id, own]) =>
      Object.entries(own).flatMap(([name, bound]) => checkLimit(rules, id, name, bound)),
    ),
  ]
}

const unknown = (id: string, pointer: string): Contradiction =>
  contradiction('unknown-finding', `There is no finding '${id}' in the catalogue.`, { id, pointer })

function checkSeverity(id: string, wanted: string): Contradiction[] {
  const at = { id, pointer: `/findings/severity/${id}` }
  const finding = byId.get(id)
  if (finding === undefined) return [unknown(id, at.pointer)]
  if (GRAVITY.indexOf(wanted) < GRAVITY.indexOf(finding.severity)) {
    const message = `Finding '${id}' is a ${finding.severity} in the catalogue; a program may not make it a ${wanted}.`
    return [contradiction('severity-lowered', message, at)]
  }
  if (wanted === 'reject' && finding.severity !== 'reject') {
    const message = `Finding '${id}' is a ${finding.severity}: a program may raise it to hold, and not to reject, which nobody could decide on.`
    return [contradiction('severity-lowered', message, at)]
  }
  return []
}

function checkLimit({ methodEdition }: RuleSetContent, id: string, name: string, bound: Bound): Contradiction[] {
  const at = { id, pointer: `/findings/limits/${id}/${name}` }
  const finding = byId.get(id)
  if (finding === undefined) return [unknown(id, `/findings/limits/${id}`)]
  const own = finding.limits as readonly string[]
  if (!own.includes(name)) {
    const there = own.length === 0 ? 'it has none' : `it has ${own.join(', ')}`
    return [contradiction('unknown-limit', `Finding '${id}' has no limit '${name}'; ${there}.`, at)]
  }
  if (ofRecord.has(id)) {
    const message = `Limit '${name}' of '${id}' is fixed by the method edition: a test is compared with the record once, for all programs.`
    return [contradiction('limit-fixed', message, at)]
  }
  const limit = editionById(methodEdition)?.limits[name as never] as Parameters<typeof boundValueOfLimit>[1] | undefined
  if (limit === undefined) return []
  const wanted = boundValueOfLimit(bound, limit)
  if (typeof wanted === 'string')
    return [contradiction('unit-does-not-fit', `Limit '${name}' of '${id}': ${wanted}.`, at)]
  const may = mayChange(id, name)
  if (may === 'yes' || (may === 'only-tighter' && isTighter(name, wanted, limit.si))) return []
  const how = may === 'no' ? 'is fixed by the method edition' : 'may only be made stricter'
  const message = `Limit '${name}' of '${id}' ${how}: it is ${limit.value} ${limit.unit}, and ${boundText(bound)} is asked.`
  return [contradiction('limit-fixed', message, at)]
}
