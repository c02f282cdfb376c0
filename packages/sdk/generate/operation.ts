/** From the description's operations to what a method needs to know. */
import { isIdentifier, isRecord, type Json, recordAt, resolve, schemaName, textOf } from './document.ts'

const METHODS = ['get', 'post', 'put', 'patch', 'delete'] as const
const RESERVED = new Set(['arguments', 'body', 'default', 'delete', 'import', 'in', 'new', 'options', 'query', 'this'])

export interface Parameter {
  readonly name: string
  readonly type: string
  readonly description: string
}

export interface Answer {
  /** `page`: one page of a list, followed by its cursor. `bytes`: neither JSON nor text. */
  readonly form: 'json' | 'page' | 'text' | 'bytes' | 'none'
  /** Of the whole answer, or of one item of a page. */
  readonly type: string
}

export interface Operation {
  readonly id: string
  readonly noun: string
  readonly verb: string
  readonly method: string
  readonly path: string
  readonly summary: string
  readonly description: string
  readonly deprecated: boolean
  readonly anonymous: boolean
  readonly pathParameters: readonly Parameter[]
  readonly body: (Parameter & { readonly contentType: string; readonly required: boolean }) | undefined
  readonly query: { readonly type: string; readonly required: boolean } | undefined
  readonly answer: Answer
  /** Changes a record only in the state named by `If-Match`. */
  readonly matching: boolean
  /** What sending it twice would do; see `Repeat` in the request code. */
  readonly repeat: 'safe' | 'keyed' | 'unkeyed'
}

/** All operations, sorted by noun, path and method, so that the order of the description doesn't matter. */
export function readOperations(document: Json): Operation[] {
  const operations: Operation[] = []
  for (const [path, item] of Object.entries(recordAt(document, 'paths'))) {
    for (const method of METHODS) {
      const raw = recordAt(item)[method]
      if (isRecord(raw)) operations.push(readOperation(document, path, method, recordAt(item), raw))
    }
  }
  const order: readonly string[] = METHODS.map((method) => method.toUpperCase())
  const rank = ({ noun, path, method }: Operation) => `${noun} ${path} ${order.indexOf(method)}`
  return operations.sort((a, b) => (rank(a) < rank(b) ? -1 : 1))
}

function readOperation(document: Json, path: string, method: string, item: Json, raw: Json): Operation {
  const id = textOf(raw.operationId)
  const [, noun, verb] = /^([a-z][A-Za-z0-9]*)\.([a-z][A-Za-z0-9]*)$/.exec(id) ?? []
  if (noun === undefined || verb === undefined) {
    throw new Error(`${method.toUpperCase()} ${path}: operationId must be noun.verb in camelCase, found '${id}'.`)
  }
  const parameters = readParameters(document, item, raw)
  const names = [...path.matchAll(/\{([^}]+)\}/g)].map((match) => match[1] ?? '')
  const pathParameters = names.map((name) => pathParameter(id, name, parameters))
  const answer = readAnswer(document, id, raw, parameters)
  return {
    id,
    noun,
    verb,
    method: method.toUpperCase(),
    path,
    summary: textOf(raw.summary),
    description: textOf(raw.description),
    deprecated: raw.deprecated === true,
    anonymous: Array.isArray(raw.security) && raw.security.length === 0,
    pathParameters,
    body: readBody(document, id, raw, names),
    query: readQuery(id, parameters),
    answer,
    matching: hasHeader(parameters, 'if-match'),
    repeat: readRepeat(method, raw, parameters),
  }
}

function readParameters(document: Json, item: Json, raw: Json): Json[] {
  const lists = [item.parameters, raw.parameters]
  return lists.flatMap((list: unknown) => (Array.isArray(list) ? list.map((entry) => resolve(document, entry)) : []))
}

function pathParameter(id: string, name: string, parameters: readonly Json[]): Parameter {
  const declared = parameters.find((parameter) => parameter.in === 'path' && parameter.name === name)
  const schema = recordAt(declared, 'schema')
  const listed = Array.isArray(schema.enum) || schemaName(schema) !== undefined || 'const' in schema
  if (!isIdentifier(name)) throw new Error(`${id}: the path parameter '${name}' can't be the name of an argument.`)
  return {
    name: RESERVED.has(name) ? `${name}Value` : name,
    type: listed ? `wire.operations['${id}']['parameters']['path']['${name}']` : 'string',
    description: textOf(declared?.description) || textOf(schema.description),
  }
}

function readQuery(id: string, parameters: readonly Json[]): Operation['query'] {
  const query = parameters.filter((parameter) => parameter.in === 'query')
  if (query.length === 0) return undefined
  const required = query.some((parameter) => parameter.required === true)
  const type = `wire.operations['${id}']['parameters']['query']`
  return { type: required ? type : `NonNullable<${type}>`, required }
}

function readBody(document: Json, id: string, raw: Json, taken: readonly string[]): Operation['body'] {
  if (!isRecord(raw.requestBody)) return undefined
  const body = resolve(document, raw.requestBody)
  const content = recordAt(body, 'content')
  const contentType = preferred(Object.keys(content))
  if (contentType === undefined) return undefined
  const named = schemaName(recordAt(content, contentType).schema)
  const name = named === undefined ? 'body' : named.charAt(0).toLowerCase() + named.slice(1)
  // A body that may be left out is optional in the types too.
  const inline = `NonNullable<wire.operations['${id}']['requestBody']>['content']['${contentType}']`
  return {
    name: taken.includes(name) || RESERVED.has(name) ? 'body' : name,
    type: isJson(contentType)
      ? `JsonBody<${nameOr(recordAt(content, contentType).schema, inline)}>`
      : 'string | Uint8Array',
    description: textOf(body.description),
    contentType,
    required: body.required !== false,
  }
}

function readAnswer(document: Json, id: string, raw: Json, parameters: readonly Json[]): Answer {
  const answers = Object.entries(recordAt(raw, 'responses'))
    .filter(([status]) => /^2(\d\d|XX)$/.test(status))
    .map(([status, response]) => ({ status, content: recordAt(resolve(document, response), 'content') }))
  const json = answers.flatMap(({ status, content }) => {
    const contentType = Object.keys(content).find(isJson)
    if (contentType === undefined) return []
    const schema = recordAt(content, contentType).schema
    const key = /^\d+$/.test(status) ? status : `'${status}'`
    const inline = `wire.operations['${id}']['responses'][${key}]['content']['${contentType}']`
    return [{ schema, type: nameOr(schema, inline) }]
  })
  if (json.length > 0 && json.every(({ schema }) => isPage(document, schema, parameters))) {
    return { form: 'page', type: union(json.map(({ schema, type }) => itemType(document, schema, type))) }
  }
  if (json.length > 0) return { form: 'json', type: union(json.map(({ type }) => type)) }
  const contentTypes = answers.flatMap(({ content }) => Object.keys(content))
  if (contentTypes.length === 0) return { form: 'none', type: 'void' }
  const isText = contentTypes.every((contentType) => /^text\/|ndjson|\+xml/.test(contentType))
  return isText ? { form: 'text', type: 'string' } : { form: 'bytes', type: 'Uint8Array' }
}

/** Type of an item; and that of the page where it tells more than its items. */
function itemType(document: Json, page: unknown, pageType: string): string {
  const properties = recordAt(resolve(document, page), 'properties')
  const item = nameOr(resolve(document, properties.items).items, `${pageType}['items'][number]`)
  const tellsMore = Object.keys(properties).some((name) => name !== 'items' && name !== 'next')
  return tellsMore ? `${item}, ${pageType}` : item
}

const nameOr = (schema: unknown, otherwise: string): string => {
  const name = schemaName(schema)
  return name === undefined ? otherwise : `wire.${name}`
}

const union = (types: readonly string[]): string => [...new Set(types)].join(' | ')

/** A list answers `{items, next}` and takes `cursor`; anything else is an answer like any other. */
function isPage(document: Json, schema: unknown, parameters: readonly Json[]): boolean {
  const properties = recordAt(resolve(document, schema), 'properties')
  const takesCursor = parameters.some((parameter) => parameter.in === 'query' && parameter.name === 'cursor')
  return takesCursor && resolve(document, properties.items).type === 'array' && isRecord(properties.next)
}

/**
 * Sending a POST again is safe with a key, or where it creates nothing: what was created is answered by 201,
 * what goes on working by 202.
 */
function readRepeat(method: string, raw: Json, parameters: readonly Json[]): Operation['repeat'] {
  if (hasHeader(parameters, 'idempotency-key')) return 'keyed'
  if (method === 'patch') return 'unkeyed'
  if (method !== 'post') return 'safe'
  const responses = recordAt(raw, 'responses')
  return '201' in responses || '202' in responses || '2XX' in responses ? 'unkeyed' : 'safe'
}

const hasHeader = (parameters: readonly Json[], name: string): boolean =>
  parameters.some((parameter) => parameter.in === 'header' && textOf(parameter.name).toLowerCase() === name)

const isJson = (contentType: string): boolean => /^application\/(?:[\w.-]+\+)?json\b/.test(contentType)

const preferred = (contentTypes: readonly string[]): string | undefined => contentTypes.find(isJson) ?? contentTypes[0]
