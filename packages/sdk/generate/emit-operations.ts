/** Writes `src/generated/operations.ts`: one class a noun, one method an operation. */
import type { Operation } from './operation.ts'

export function emitOperations(operations: readonly Operation[]): string {
  const nouns = Map.groupBy(operations, (operation) => operation.noun)
  const classes = [...nouns].map(([noun, members]) => emitNoun(noun, members)).join('\n')
  const uses = (name: string) => new RegExp(`\\b${name}\\b`).test(classes)
  const lines = [
    ...emitImport('../answer.ts', ['ApiPromise'].filter(uses)),
    ...emitImport('../call.ts', ['CallOptions', 'JsonBody', 'KeyedCallOptions', 'MatchingCallOptions'].filter(uses)),
    ...emitImport('../page.ts', ['PagePromise'].filter(uses)),
    ...(classes.includes('path`') ? [`import { path } from '../path.ts'`] : []),
    `import type { Requester } from '../request.ts'`,
    ...(uses('wire') ? [`import type * as wire from './types.ts'`] : []),
    '',
    classes,
    '/** The whole API by noun. */',
    'export class Operations {',
    ...[...nouns.keys()].map((noun) => `  readonly ${noun}: ${className(noun)}`),
    '',
    '  constructor(requester: Requester) {',
    ...[...nouns.keys()].map((noun) => `    this.${noun} = new ${className(noun)}(requester)`),
    '  }',
    '}',
    '',
  ]
  return lines.join('\n')
}

/** The arguments of a method as a caller sees them, with types if asked. */
export function argumentList(operation: Operation, typed: boolean): string {
  const argument = (name: string, optional: boolean, type: string) =>
    `${name}${optional ? '?' : ''}${typed ? `: ${type}` : ''}`
  const { pathParameters, body, query, repeat, matching } = operation
  // An optional argument can't stand before a required one, so an optional body waits for no query or state.
  return [
    ...pathParameters.map((parameter) => argument(parameter.name, false, parameter.type)),
    ...(body ? [argument(body.name, !body.required && !query?.required && !matching, body.type)] : []),
    ...(query ? [argument('query', !query.required && !matching, query.type)] : []),
    matching
      ? argument('options', false, 'MatchingCallOptions')
      : argument('options', true, repeat === 'keyed' ? 'KeyedCallOptions' : 'CallOptions'),
  ].join(', ')
}

export function answerType({ answer }: Operation): string {
  return answer.form === 'page' ? `PagePromise<${answer.type}>` : `ApiPromise<${answer.type}>`
}

function emitNoun(noun: string, members: readonly Operation[]): string {
  return [
    `export class ${className(noun)} {`,
    '  readonly #requester: Requester',
    '',
    '  constructor(requester: Requester) {',
    '    this.#requester = requester',
    '  }',
    ...members.flatMap((operation) => ['', ...emitMethod(operation)]),
    '}',
    '',
  ].join('\n')
}

function emitMethod(operation: Operation): string[] {
  const send = operation.answer.form === 'page' ? 'list' : 'send'
  return [
    ...emitComment(operation),
    `  ${operation.verb}(${argumentList(operation, true)}): ${answerType(operation)} {`,
    `    return this.#requester.${send}({ ${callMembers(operation).join(', ')} }, options)`,
    '  }',
  ]
}

/** The members of a `Call`; what is usual is left out. */
function callMembers({
  id,
  method,
  path,
  pathParameters,
  body,
  query,
  answer,
  repeat,
  anonymous,
}: Operation): string[] {
  const names = pathParameters.map((parameter) => parameter.name)
  let at = 0
  const filled = path.replaceAll(/\{[^}]+\}/g, () => `\${${names[at++] ?? ''}}`)
  return [
    `operation: '${id}'`,
    `method: '${method}'`,
    names.length === 0 ? `path: '${path}'` : `path: path\`${filled}\``,
    ...(query ? ['query'] : []),
    ...(body ? [body.name === 'body' ? 'body' : `body: ${body.name}`] : []),
    ...(body && body.contentType !== 'application/json' ? [`contentType: '${body.contentType}'`] : []),
    ...(answer.form === 'json' || answer.form === 'page' ? [] : [`answer: '${answer.form}'`]),
    ...(repeat === 'safe' ? [] : [`repeat: '${repeat}'`]),
    ...(anonymous ? ['anonymous: true'] : []),
  ]
}

function emitComment({ summary, description, method, path, pathParameters, body, deprecated }: Operation): string[] {
  const named = body ? [...pathParameters, body] : pathParameters
  const paragraphs = [summary && `${summary.replace(/\.$/, '')}.`, description, `\`${method} ${path}\``].filter(Boolean)
  const tags = [
    ...named.flatMap(({ name, description: about }) =>
      about ? [`@param ${name} ${about.replaceAll(/\s+/g, ' ')}`] : [],
    ),
    ...(deprecated ? ['@deprecated'] : []),
  ]
  const lines = [paragraphs.join('\n\n'), ...(tags.length > 0 ? ['', ...tags] : [])].join('\n').split('\n')
  const inside = lines.map((line) => `   * ${line.replaceAll('*/', '*\\/')}`.trimEnd())
  return ['  /**', ...inside, '   */']
}

const emitImport = (from: string, names: readonly string[]): string[] =>
  names.length === 0 ? [] : [`import type { ${names.join(', ')} } from '${from}'`]

const className = (noun: string): string => `${noun.charAt(0).toUpperCase()}${noun.slice(1)}Operations`
