package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

const completionHelp = `
Prints a script that lets the shell complete commands, flags and folders. It has
to be loaded once per session:

  bash:  source <(tripsim completion bash)
  zsh:   source <(tripsim completion zsh)
  fish:  tripsim completion fish | source
`

func completionCommand() *command {
	shells := map[string]func() string{"bash": bashScript, "zsh": zshScript, "fish": fishScript}
	names := []string{"bash", "zsh", "fish"}
	return &command{
		name: "completion", args: "bash|zsh|fish", least: 1, most: 1,
		short: "a completion script for the shell",
		long:  completionHelp,
		words: func() []string { return names },
		setup: func(*pflag.FlagSet) action {
			return func(_ context.Context, c *console, args []string) error {
				script, ok := shells[args[0]]
				if !ok {
					return usage("completion", "%q is not bash, zsh or fish", clean(args[0]))
				}
				return c.print(script())
			}
		},
	}
}

// firstWords are what the first argument can be, if it is no folder.
func (cmd *command) firstWords() []string {
	if cmd.words == nil {
		return nil
	}
	return cmd.words()
}

// flagsOf lists a command's flags.
func flagsOf(cmd *command) []*pflag.Flag {
	fs, _ := cmd.flags()
	var flags []*pflag.Flag
	fs.VisitAll(func(f *pflag.Flag) { flags = append(flags, f) })
	return flags
}

func bashScript() string {
	var b strings.Builder
	b.WriteString("# bash completion for tripsim\n_tripsim() {\n" +
		"    local word=${COMP_WORDS[COMP_CWORD]} words=\n" +
		"    if ((COMP_CWORD == 1)); then\n")
	fmt.Fprintf(&b, "        COMPREPLY=($(compgen -W '%s --help --version' -- \"$word\"))\n        return\n    fi\n", strings.Join(commandNames(), " "))
	b.WriteString("    case ${COMP_WORDS[1]} in\n")
	for _, cmd := range commands() {
		var words []string
		for _, f := range flagsOf(cmd) {
			words = append(words, "--"+f.Name)
		}
		fmt.Fprintf(&b, "    %s)\n        if [[ $word == -* ]]; then words='%s'; else words='%s'; fi ;;\n", cmd.name,
			strings.Join(append(words, "--help"), " "), strings.Join(cmd.firstWords(), " "))
	}
	b.WriteString("    esac\n    COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n}\n" +
		"complete -o dirnames -F _tripsim tripsim\n")
	return b.String()
}

func zshScript() string {
	var b strings.Builder
	b.WriteString("#compdef tripsim\n_tripsim() {\n    if ((CURRENT == 2)); then\n        local -a names=(\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "            %s\n", zshQuote(cmd.name+":"+cmd.short))
	}
	b.WriteString("        )\n        _describe command names\n        return\n    fi\n    case $words[2] in\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "    %s)\n        shift words; ((CURRENT--)); _arguments", cmd.name)
		for _, f := range flagsOf(cmd) {
			usage := strings.NewReplacer("`", "", "[", "(", "]", ")").Replace(f.Usage)
			value := ""
			if f.Value.Type() != "bool" {
				value = ":" + f.Name + ":"
				if f.Name == "out" {
					value += "_files -/"
				}
			}
			name := "--" + f.Name
			if value != "" {
				name += "="
			}
			fmt.Fprintf(&b, " \\\n            %s", zshQuote(name+"["+usage+"]"+value))
		}
		rest := "'*:folder:_files -/'"
		if cmd.words != nil {
			rest = zshQuote("1:word:(" + strings.Join(cmd.firstWords(), " ") + ")")
		}
		fmt.Fprintf(&b, " \\\n            %s ;;\n", rest)
	}
	b.WriteString("    esac\n}\ncompdef _tripsim tripsim\n")
	return b.String()
}

func zshQuote(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

func fishScript() string {
	var b strings.Builder
	b.WriteString("# fish completion for tripsim\ncomplete -c tripsim -f\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "complete -c tripsim -n __fish_use_subcommand -a %s -d %s\n", cmd.name, fishQuote(cmd.short))
		on := fmt.Sprintf("-n '__fish_seen_subcommand_from %s'", cmd.name)
		if cmd.words != nil {
			fmt.Fprintf(&b, "complete -c tripsim %s -a %s\n", on, fishQuote(strings.Join(cmd.firstWords(), " ")))
		} else if cmd.args != "" {
			fmt.Fprintf(&b, "complete -c tripsim %s -a '(__fish_complete_directories)'\n", on)
		}
		for _, f := range flagsOf(cmd) {
			value := ""
			if f.Value.Type() != "bool" {
				value = " -r"
			}
			fmt.Fprintf(&b, "complete -c tripsim %s -l %s%s -d %s\n", on, f.Name, value, fishQuote(strings.ReplaceAll(f.Usage, "`", "")))
		}
	}
	return b.String()
}

func fishQuote(s string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(s) + "'"
}
