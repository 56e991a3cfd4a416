package quote

func (b *builder) hasSeason() bool { return false }

func (b *builder) season() []Block { return nil }

func (b *builder) hasFixes() bool { return false }

func (b *builder) fixes() []Block { return nil }
