/** What a password has to be, said before it is typed. The service decides. */
export const PASSWORD_RULE =
  'At least 15 characters, any of them. A few words that do not belong together are good; what is guessed first is refused.'
