/** Writes `API.md`: the surface at a glance. */
import { answerType, argumentList } from './emit-operations.ts'
import type { Operation } from './operation.ts'

const REPEAT = { safe: '', keyed: ' with an idempotency key', unkeyed: '' } as const

export function emitReference(operations: readonly Operation[]): string {
  const nouns = Map.groupBy(operations, (operation) => operation.noun)
  const sections = [...nouns].map(([noun, members]) => [`## ${noun}`, '', ...members.map(emitLine), ''].join('\n'))
  return ['# The client at a glance', '', ...sections].join('\n')
}

function emitLine(operation: Operation): string {
  const { noun, verb, summary, method, path, repeat, deprecated } = operation
  const answers = answerType(operation)
    .replaceAll('wire.', '')
    .replace(/operations\[.*\]/, 'object')
  const request = `\`${method} ${path}\`${REPEAT[repeat]}`
  const about = [summary && `${summary.replace(/\.$/, '')}.`, deprecated && 'Deprecated.', request].filter(Boolean)
  return `- \`client.${noun}.${verb}(${argumentList(operation, false)})\` → \`${answers}\`\\\n  ${about.join(' ')}`
}
