import { createPeopleDesk } from '../../people/createPeopleDesk.ts'
import { CODE_MS, DAY_MS } from '../../people/parts.ts'
import type { Caller, PeopleDesk, Role } from '../../people/types.ts'
import type { ListedPerson } from '../../store/people.ts'
import { type Arguments, type Command, type Context, EXIT, InputRefused, UsageError } from '../command.ts'
import { accountLetters } from '../letters.ts'
import { withDatabase } from '../open.ts'
import { publicUrlFrom } from '../settings.ts'
import { readPassword } from '../stdin.ts'

const ROLES: readonly Role[] = ['contractor', 'technician', 'owner']
const THINGS = ['add', 'invite', 'list', 'close', 'export', 'delete'] as const

/** Whoever can read the database file needs no account to change it. */
const COMMAND_LINE: Caller = {
  personId: 0,
  name: 'the command line',
  email: '',
  role: 'contractor',
  houses: 'all',
  via: 'this machine',
  scope: 'write',
  sessionId: null,
}

export const person: Command = {
  name: 'person',
  usage: `${THINGS.join('|')} [EMAIL]`,
  about:
    'Adds people, lists them, invites one again, shuts one out, prints what is kept about one, and takes one out of the database for good. An invitation is an address where the person chooses a password.',
  examples: [
    'person add --name "Ann Example" --email ann@under.example --role contractor',
    'person add --name "Bo Example" --email bo@under.example --role technician --house maple --house birch',
    'person add --name "Ann Example" --email ann@under.example --role contractor --password-stdin < password.txt',
    'person invite ann@under.example',
    'person list',
    'person close bo@under.example',
    'person export bo@under.example > bo.json',
    'person delete bo@under.example --yes',
  ],
  options: {
    name: { type: 'string', about: 'how they are called' },
    email: { type: 'string', value: 'ADDRESS', about: 'what they sign in with' },
    role: { type: 'string', value: ROLES.join('|'), about: 'what they may do' },
    house: { type: 'string', value: 'KEY', multiple: true, about: 'a house they are given; may be said several times' },
    'password-stdin': { type: 'boolean', about: 'add, invite: take their password from standard input at once' },
    yes: { type: 'boolean', about: 'delete: really' },
  },
  run: (args, context) =>
    withDatabase(context, async ({ db, now }) => {
      const publicUrl = publicUrlFrom(process.env) ?? 'http://127.0.0.1'
      // Who gets a password at once needs no letter about choosing one.
      const sendLetter = args.flag('password-stdin') ? undefined : accountLetters(db, now)
      const people = createPeopleDesk({ db, now, publicUrl, ...(sendLetter && { sendLetter }) })
      const thing = args.word(0, `What to do (${THINGS.join(', ')})`)
      if (thing === 'add') await add(people, args, context)
      else if (thing === 'invite') await invite(people, args, context)
      else if (thing === 'list') await list(people, context)
      else if (thing === 'close') await close(people, args, context)
      else if (thing === 'export') await print(people, args, context)
      else if (thing === 'delete') await remove(people, args, context)
      else throw new UsageError(`person takes ${THINGS.join(', ')}, not "${thing}".`)
      return EXIT.done
    }),
}

async function add(people: PeopleDesk, args: Arguments, context: Context): Promise<void> {
  const name = needed(args, 'name')
  const email = needed(args, 'email')
  needed(args, 'role')
  const role = args.choice('role', ROLES, 'owner')
  const password = await passwordIn(args)
  const houses = args.options('house')
  const { person, invitation } = await people.addPerson({ name, email, role, houses }, 'the command line')
  await tellOrSet(people, { person, invitation, password }, context)
}

async function invite(people: PeopleDesk, args: Arguments, context: Context): Promise<void> {
  const person = await found(people, args)
  const password = await passwordIn(args)
  const { invitation } = await people.inviteAgain(person.id)
  await tellOrSet(people, { person, invitation, password }, context)
}

interface Invited {
  person: ListedPerson
  invitation: string
  password: string | undefined
}

async function tellOrSet(people: PeopleDesk, { person, invitation, password }: Invited, context: Context) {
  if (password === undefined) {
    context.out(
      context.json
        ? `${JSON.stringify({ person, invitation })}\n`
        : `${person.email} (${person.role}) chooses a password here, within ${CODE_MS.invitation / DAY_MS} days; the service mails it to them too:\n${invitation}\n`,
    )
    return
  }
  const code = invitation.slice(invitation.indexOf('#') + 1)
  try {
    const { caller } = await people.setPassword({ code, password }, { address: '', agent: 'the command line' })
    // Nobody sits at a browser here.
    if (caller.sessionId !== null) await people.signOut(caller.sessionId)
  } catch (error) {
    const { name, message, hint } = error as Error & { hint?: string }
    if (name !== 'PeopleError') throw error
    throw new InputRefused(
      `${person.email} is there, but without this password. ${message} ${hint} Then \`underjoist person invite ${person.email} --password-stdin\`, or choose one at ${invitation}.`,
    )
  }
  context.out(
    context.json
      ? `${JSON.stringify({ person: { ...person, hasPassword: true } })}\n`
      : `${person.email} (${person.role}) can sign in.\n`,
  )
}

async function list(people: PeopleDesk, { json, out }: Context): Promise<void> {
  const all = await people.people()
  if (json) return out(`${JSON.stringify(all, null, 2)}\n`)
  if (all.length === 0) return out('There is nobody yet. `underjoist person add` makes the first account.\n')
  const width = Math.max(...all.map(({ email }) => email.length))
  for (const { email, name, role, houses, closed, hasPassword } of all) {
    const where = role === 'contractor' ? '' : ` of ${houses.length === 0 ? 'no house' : houses.join(', ')}`
    const state = closed ? '; shut out' : hasPassword ? '' : '; no password yet'
    out(`${email.padEnd(width)}  ${name}, ${role}${where}${state}\n`)
  }
}

async function close(people: PeopleDesk, args: Arguments, { json, out }: Context): Promise<void> {
  const { id } = await found(people, args)
  const person = await people.changePerson(id, { closed: true }, COMMAND_LINE)
  out(json ? `${JSON.stringify(person)}\n` : `${person.email} is shut out, at every browser too.\n`)
}

async function print(people: PeopleDesk, args: Arguments, { out }: Context): Promise<void> {
  const { id } = await found(people, args)
  out(`${JSON.stringify(await people.exportPerson(id), null, 2)}\n`)
}

async function remove(people: PeopleDesk, args: Arguments, { json, out }: Context): Promise<void> {
  const { id, email } = await found(people, args)
  if (!args.flag('yes')) {
    throw new InputRefused(
      `Nothing was done. \`person delete ${email} --yes\` takes ${email} out for good: account, sessions, links, letters; their name in histories becomes "a former person". Backups made before still have them.`,
    )
  }
  await people.deletePerson(id, COMMAND_LINE)
  out(json ? `${JSON.stringify({ deleted: email })}\n` : `${email} is deleted.\n`)
}

async function found(people: PeopleDesk, args: Arguments): Promise<ListedPerson> {
  const email = args.word(1, 'Whose address').trim().toLowerCase()
  const person = (await people.people()).find((known) => known.email === email)
  if (person === undefined)
    throw new InputRefused(`Nobody has the address ${email}. \`person list\` shows who there is.`)
  return person
}

function needed(args: Arguments, name: 'name' | 'email' | 'role'): string {
  const value = args.option(name)
  if (value === undefined) throw new UsageError(`--${name} is missing.`)
  return value
}

const passwordIn = async (args: Arguments): Promise<string | undefined> =>
  args.flag('password-stdin') ? readPassword(process.stdin) : undefined
